package scenes

import (
	"fmt"

	"sandarac/cmd/paintplates/light"
)

// Named builds the scene for a plate by the name of its sidecar and its kind of light.
func Named(name, kind string, number int) (*light.Scene, error) {
	if name == "morning-test" {
		return test(kind, float64(number%5)*9-14), nil
	}
	for _, m := range []map[string]func() *light.Scene{portraits, stills, outside} {
		if f, ok := m[name]; ok {
			return f(), nil
		}
	}
	return nil, fmt.Errorf("no scene is named %q", name)
}
