// Package devices is the machine the editor runs on, as the editor sees it: hands that make events, and a
// Machine that fulfils wishes. In: what Ebitengine reports, an editor.Wish. Out: input.Event, an editor.Reply.
//
//	Ebitengine ─► Sample ─► Hands ─► []input.Event
//	editor.Wish ─► Machine ─► editor.Reply, later, between two ticks
//
// Hands are plain arithmetic over samples and tested as such. Whatever may take time (files, the clipboard,
// windows that let the user choose) runs beside the frame loop. In a browser the same wishes are fulfilled by
// the page: a file is chosen by the browser's own window and saved as a download.
package devices
