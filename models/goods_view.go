package models

// LotTotals are the pieces of a lot by where they are, as recorded.
type LotTotals struct {
	LotID    string
	BuiltIn  int
	Scrapped int
	Returned int
	Mixed    int // put into bins
	PutIn    int // of a bin: put into it
}

// LotStop says that a lot may not be fitted: what was decided about it, or about
// a lot that was mixed into it.
type LotStop struct {
	LotID    string // that was asked about
	Code     string // of the lot that was decided about
	Decision string
}

// LotRecords is everything that was recorded about one lot, oldest first.
type LotRecords struct {
	Checks       []LotCheck
	Decisions    []LotDecision
	Scraps       []LotScrap
	Counts       []LotCount
	Explanations []LotExplanation
	Contents     []LotMix // what was put into it
	Bins         []LotMix // what it was put into
}

// AttachmentView is an attachment with what its file is.
type AttachmentView struct {
	Attachment
	MediaType string
	Size      int
}

// Image says whether a browser can show it as a picture.
func (a AttachmentView) Image() bool { return a.MediaType != MediaPDF }

// The types of files that are kept.
const (
	MediaJPEG = "image/jpeg"
	MediaPNG  = "image/png"
	MediaWebP = "image/webp"
	MediaPDF  = "application/pdf"
)
