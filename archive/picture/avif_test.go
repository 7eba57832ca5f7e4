package picture

import "testing"

// An AVIF is another file than a JPEG of the same width, in the index too.
func TestAVIFKeys(t *testing.T) {
	a, b := keyOf([32]byte{1}, 8, 8, Output{Quality: 60}), keyOf([32]byte{1}, 8, 8, Output{Quality: 60, AVIF: true})
	if a == b {
		t.Error("one key for two formats")
	}
	in := index{"a": {files: map[key]made{b: {key: b, avif: true}, a: {key: a, grey: true}}}}
	out, err := decodeIndex(in.encode())
	if err != nil || !out["a"].files[b].avif || out["a"].files[b].grey || out["a"].files[a].avif || !out["a"].files[a].grey {
		t.Errorf("%+v, %v", out["a"], err)
	}
}
