package main

import (
	"reflect"
	"testing"

	"sandarac/archive/daybook"
)

// Every key of a plate has its flag, and every flag its key.
func TestEveryKeyHasItsFlag(t *testing.T) {
	flags := map[string]bool{}
	typ := reflect.TypeFor[plateFlags]()
	for i := range typ.NumField() {
		name := flagName(typ.Field(i))
		if _, ok := daybook.KeyOf(name); !ok && name != "sitters" && name != "notes" {
			t.Errorf("--%s is no key", name)
		}
		flags[name] = true
	}
	for _, k := range daybook.Keys {
		if !flags[k.Flag] {
			t.Errorf("%s has no flag --%s", k.Path, k.Flag)
		}
	}
}
