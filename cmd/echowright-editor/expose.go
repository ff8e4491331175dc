//go:build !js

package main

// expose is for pages in a browser.
func expose(*window) {}
