package main

// pace does nothing in a browser, which calls for a tick when it shows a picture.
type pace struct{}

func (*pace) rest(bool, bool) {}
