package web

// hatching is a state as drawings tell materials apart: a pattern and a word.
type hatching struct {
	Pattern string // id of the pattern in sheets/shared/hatches.html, without "h-"
	Word    string
}

// The states shown, each with its own section-lining.
var (
	running   = hatching{"run", "running"}
	done      = hatching{"done", "done"}
	paused    = hatching{"setup", "paused"}
	canStart  = hatching{"ready", "can start"}
	planned   = hatching{"plain", "planned"}
	waits     = hatching{"wait", "waits"}
	held      = hatching{"held", "held"}
	setup     = hatching{"setup", "setup"}
	drying    = hatching{"dry", "drying"}
	awayState = hatching{"away", "away"}
	frozen    = hatching{"frozen", "frozen"}
	noPlace   = hatching{"none", "not planned"}
	stopped   = hatching{"held", "down"}
	complete  = hatching{"done", "complete"}
	short     = hatching{"wait", "short"}
	noKit     = hatching{"plain", "no kit"}
)

// hatchURL gives the fill of a pattern. A fill attribute needs no style, which the content policy would refuse.
func hatchURL(pattern string) string { return "url(#h-" + pattern + ")" }
