package exposure

import "math"

// MeterConstant is the C of ISO 2720 assumed when the studio record names
// none, in lux·seconds: the usual value for flat receptors (240 to 400). A
// dome reads with about 330 (320 to 540).
const MeterConstant = 250

// LuminanceConstant is the usual K of ISO 2720 for reflected light, in
// cd·s/m² (10.6 to 13.4).
const LuminanceConstant = 12.5

// EV100FromLux gives the exposure value at ISO 100 of an illuminance in lux:
// EV100 = log2(100·E/C), from the incident-light equation N²/t = E·S/C of
// ISO 2720:1974 with 2^EV100 = N²/t at S = 100. The meter constant C is in
// lux·seconds.
func EV100FromLux(lux, meterConstant float64) (float64, error) {
	if err := first(positive("lux", lux), positive("meter constant", meterConstant)); err != nil {
		return 0, err
	}
	return math.Log2(100 * lux / meterConstant), nil
}

// LuxFromEV100 is the inverse of EV100FromLux: E = C·2^EV100/100.
func LuxFromEV100(ev100, meterConstant float64) (float64, error) {
	if err := first(finite("EV100", ev100), positive("meter constant", meterConstant)); err != nil {
		return 0, err
	}
	return meterConstant * math.Exp2(ev100) / 100, nil
}

// LuminanceFromEV100 gives the luminance in cd/m² that a reflected-light
// meter of constant K reads as EV100: L = K·2^EV100/100 (ISO 2720:1974,
// N²/t = L·S/K).
func LuminanceFromEV100(ev100, luminanceConstant float64) (float64, error) {
	if err := first(finite("EV100", ev100), positive("luminance constant", luminanceConstant)); err != nil {
		return 0, err
	}
	return luminanceConstant * math.Exp2(ev100) / 100, nil
}

// EV gives the exposure value of a camera setting, log2(N²/t), whatever the
// sensitivity: stop is the f-number N, seconds the time t.
func EV(stop, seconds float64) (float64, error) {
	if err := first(positive("stop", stop), positive("seconds", seconds)); err != nil {
		return 0, err
	}
	return math.Log2(stop * stop / seconds), nil
}

// EVAtISO moves an exposure value at ISO 100 to another sensitivity:
// EV_S = EV100 + log2(S/100).
func EVAtISO(ev100, iso float64) (float64, error) {
	if err := first(finite("EV100", ev100), positive("ISO", iso)); err != nil {
		return 0, err
	}
	return ev100 + math.Log2(iso/100), nil
}
