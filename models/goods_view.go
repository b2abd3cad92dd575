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

// Came is how many pieces came, or were put in; 0 where nobody said so.
func (t LotTotals) Came(lot Lot) int { return lot.Quantity + t.PutIn }

// ToBuildIn is how many of them are there to be built in: not thrown away, sent
// back or put into another bin. Those that are built in already count.
func (t LotTotals) ToBuildIn(lot Lot) int { return t.Came(lot) - t.Scrapped - t.Returned - t.Mixed }

// Beyond is by how many more than the lot has, has, it would be built in with so
// many more; 0 where there are enough, or nobody said how many came.
func (t LotTotals) Beyond(lot Lot, more int) (over, has int) {
	if t.Came(lot) == 0 {
		return 0, 0
	}
	has = t.ToBuildIn(lot)
	return max(0, t.BuiltIn+more-has), has
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
