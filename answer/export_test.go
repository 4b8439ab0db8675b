package answer

import "dawnround/density"

// Survey is what is fitted, for tests that hold it against published tables.
func (d Dense) Survey() density.Survey { return d.survey }
