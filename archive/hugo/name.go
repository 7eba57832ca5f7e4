package hugo

import "strings"

// Taken reports whether a page's folder may not have this name (a slug, in lower
// case): Hugo keeps some for its lists, and Windows keeps some for devices,
// whatever their ending.
func Taken(name string) bool {
	switch name {
	case "", "page", "index":
		return true
	}
	device, _, _ := strings.Cut(name, ".")
	switch device {
	case "con", "prn", "aux", "nul":
		return true
	}
	port := strings.HasPrefix(device, "com") || strings.HasPrefix(device, "lpt")
	return port && len(device) == 4 && '0' <= device[3] && device[3] <= '9'
}
