// Package refresh finds the shortest cycle in which jobs fire as often as they ask.
package refresh
