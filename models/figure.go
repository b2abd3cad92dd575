package models

// Figure is a drawing before it is drawn: lines over one axis, and levels that
// they are judged by. Page, paper and other programs draw from the same one.
// Axes and levels have codes; their words stand under "figure." in the message
// catalogue.
type Figure struct {
	Along  FigureAxis   `json:"along"`
	Up     FigureAxis   `json:"up"`
	At     []float64    `json:"at"` // along the axis, rising; the same for every line
	Lines  []FigureLine `json:"lines"`
	Levels []FigureMark `json:"levels,omitempty"`
}

// FigureAxis is what an axis measures.
type FigureAxis struct {
	Code     string `json:"code"`
	Unit     string `json:"unit"`
	Decimals int    `json:"decimals"` // of a value that is read off
}

// FigureLine has a value for each place of At.
type FigureLine struct {
	Name     string    `json:"name"`
	Values   []float64 `json:"values"`
	Foremost bool      `json:"foremost,omitempty"` // the one that matters most
}

// FigureMark is a level across the drawing.
type FigureMark struct {
	Code  string  `json:"code"`
	Value float64 `json:"value"`
}
