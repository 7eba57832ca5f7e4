package care_test

import (
	"fmt"
	"time"

	"sandarac/archive/care"
)

func ExampleCure() {
	varnished := time.Date(2026, 5, 4, 18, 30, 0, 0, time.UTC)
	fmt.Println(care.Cure(varnished, 48).Sentence())
	// Output:
	// Varnish cures for 48 hours: do not touch the image or close the envelope before Wednesday 6 May 2026, 18:30.
}

func ExampleCardLines() {
	for _, line := range care.CardLines("tin", true, []string{"Questions? Write to us."}) {
		fmt.Println(line)
	}
	// Output:
	// Hold by the edges, clean dry hands. Never touch the image.
	// Never wipe, wet, polish or spray: alcohol and cleaners dissolve it.
	// Iron plate: do not bend; scratches and edges rust.
	// Keep cool, dry, steady: 15–20 °C, 30–45 % RH, never above 60 %.
	// Out of sun, off radiators; acid-free envelope, padded box.
	// Questions? Write to us.
}
