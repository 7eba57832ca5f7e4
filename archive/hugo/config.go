package hugo

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Settings are what one of our sites may choose. Everything else is fixed.
type Settings struct {
	BaseURL  string // absolute, with the sub-path if there is one
	Title    string
	Locale   string // BCP 47, e.g. "en-GB"; empty for "en"
	TimeZone string // IANA; empty for UTC
	// Params are for the templates (site.Params).
	Params map[string]any
	// Taxonomies are singular to plural; none without.
	Taxonomies map[string]string
	// DisableKinds are Hugo's page kinds that are not made ("404", "rss", …).
	DisableKinds []string
	// MediaTypes, OutputFormats and Outputs are as Hugo documents them.
	MediaTypes    map[string]any
	OutputFormats map[string]any
	Outputs       map[string][]string
	PagerSize     int // of paginated lists; 0 for Hugo's default
	// RelativeURLs makes links relative to the page, so that the site can be
	// moved to another address as it is.
	RelativeURLs bool
}

// Config is the settings file both sites are built with, as JSON. What may leak
// or run is off: no helpers, no environment, no network, no raw HTML from notes,
// no links made of bare text, no generator tag, no aliases. Pages are never
// dropped for their date: what is shown was decided before.
func Config(s Settings) ([]byte, error) {
	if s.BaseURL == "" {
		return nil, fmt.Errorf("settings of the site: no base URL")
	}
	locale := s.Locale
	if locale == "" {
		locale = "en"
	}
	language, _, _ := strings.Cut(strings.ToLower(locale), "-")
	zone := s.TimeZone
	if zone == "" {
		zone = "UTC"
	}
	none := []string{"none"}
	config := map[string]any{
		"baseURL":                    s.BaseURL,
		"title":                      s.Title,
		"locale":                     locale,
		"defaultContentLanguage":     language,
		"timeZone":                   zone,
		"params":                     orEmpty(s.Params),
		"taxonomies":                 orEmpty(s.Taxonomies),
		"disableKinds":               append([]string{}, s.DisableKinds...),
		"relativeURLs":               s.RelativeURLs,
		"buildFuture":                true,
		"buildExpired":               true,
		"buildDrafts":                false,
		"capitalizeListTitles":       false,
		"pluralizeListTitles":        false,
		"titleCaseStyle":             "none",
		"disableAliases":             true,
		"disableHugoGeneratorInject": true,
		"disableLiveReload":          true,
		"enableEmoji":                false,
		"enableGitInfo":              false,
		"enableRobotsTXT":            false,
		"minify":                     map[string]any{"minifyOutput": false},
		// The one warning that a photographer's notes may cause: check reports it.
		"ignoreLogs": []string{"warning-goldmark-raw-html"},
		"security": map[string]any{
			"enableInlineShortcodes": false,
			"exec":                   map[string]any{"allow": none, "osEnv": none},
			"funcs":                  map[string]any{"getenv": none},
			"http":                   map[string]any{"urls": none, "methods": none},
		},
		"markup": map[string]any{
			// Code in notes stays plain: the policy allows no inline style.
			"highlight": map[string]any{"noClasses": false, "codeFences": false},
			"goldmark": map[string]any{
				"renderer":   map[string]any{"unsafe": false},
				"extensions": map[string]any{"linkify": false},
				"parser":     map[string]any{"attribute": map[string]any{"block": false, "title": false}},
			},
		},
	}
	if len(s.MediaTypes) > 0 {
		config["mediaTypes"] = s.MediaTypes
	}
	if len(s.OutputFormats) > 0 {
		config["outputFormats"] = s.OutputFormats
	}
	if len(s.Outputs) > 0 {
		config["outputs"] = s.Outputs
	}
	if s.PagerSize > 0 {
		config["pagination"] = map[string]any{"pagerSize": s.PagerSize}
	}
	out, err := json.MarshalIndent(config, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("settings of the site: %w", err)
	}
	return append(out, '\n'), nil
}

// orEmpty writes {} for a nil map: Hugo takes null for its own default.
func orEmpty[V any](m map[string]V) map[string]V {
	if m == nil {
		return map[string]V{}
	}
	return m
}
