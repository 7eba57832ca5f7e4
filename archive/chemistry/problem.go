package chemistry

// Severity says what a problem does. The words are those of findings.
type Severity string

const (
	// Error: the amount or the mix cannot stand as written.
	Error Severity = "error"
	// Warning: a danger, or a figure that hangs on an open question.
	Warning Severity = "warning"
	// Remark: worth knowing.
	Remark Severity = "remark"
)

// Whole marks a Problem's Part or Entry that is not about one of them.
const Whole = -1

// Problem is one thing wrong or worth a word.
type Problem struct {
	Severity Severity
	Code     string // kebab-case, stable
	Bottle   string // batch id, when the problem came from a shelf
	Part     int    // index of the part (of the recipe, or of the entry's additions), or Whole
	Entry    int    // index of the log entry, or Whole
	Message  string
	Remedy   string
}

func problem(s Severity, code string, part int, message, remedy string) Problem {
	return Problem{Severity: s, Code: code, Part: part, Entry: Whole, Message: message, Remedy: remedy}
}
