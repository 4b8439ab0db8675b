package chart

import "fmt"

// Paper is how the classes of a figure look where no page says so: black on
// white, told apart by shape and dash as well as by colour.
const Paper = `text{font:12px system-ui,sans-serif;fill:#111}
text.head{font-size:15px;font-weight:600}text.small{font-size:11px;fill:#444}
.paper{fill:#fff}.rule{stroke:#bbb;fill:none}.axis{stroke:#333;fill:none}
.line{stroke:#111;stroke-width:2;fill:none}.joins{stroke:#777;fill:none}.joins.second{stroke-dasharray:6 4}.joins.third{stroke-dasharray:2 3}
.band{fill:#dce6ee}.limit{stroke:#9a4a00;stroke-dasharray:6 4;fill:none}
.error{stroke:#1f4e79;stroke-width:1.5;fill:none}.error.second{stroke:#9a4a00}.error.third{stroke:#4b6b1e}
.value{fill:#1f4e79;stroke:#fff}.value.second{fill:#9a4a00}.value.third{fill:#4b6b1e}
.value.hollow{fill:#fff;stroke:#1f4e79;stroke-width:2}.value.hollow.second{stroke:#9a4a00}
.faint{fill:#1f4e79;fill-opacity:.35}.faint.second{fill:#9a4a00}.bar{fill:#9fb8cc}.bar.second{fill:#e3c3a3}`

// File is the scene as a file of its own: on white, so many units large, with
// the style of its classes inside.
func (s *Scene) File(style string) string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s"><style>%s</style><rect class="paper" width="100%%" height="100%%"/>%s</svg>`+"\n",
		number(s.Width), number(s.Height), style, s.SVG())
}
