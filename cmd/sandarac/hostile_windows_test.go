package main

import "testing"

// hostileKinds makes nothing: this system has neither pipes nor devices in
// folders, and refuses such names itself.
func hostileKinds(*testing.T, string) []string { return nil }
