package hugo

import "testing"

// The names that Windows reserves stand in Microsoft's "Naming Files, Paths, and
// Namespaces".
func TestTaken(t *testing.T) {
	for name, want := range map[string]bool{
		"": true, "page": true, "index": true, "con": true, "prn": true, "aux": true, "nul": true, "com1": true, "com9": true, "lpt1": true, "lpt9": true, "nul.x": true,
		"console": false, "com": false, "com10": false, "lpta": false, "north-window": false, "pages": false, "compass": false,
	} {
		if got := Taken(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}
