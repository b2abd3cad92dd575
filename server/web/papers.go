package web

import (
	"mime"
	"net/http"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/server/httpx"
)

// PaperRow is a photo or paper of a record.
type PaperRow struct {
	Path, Name, Note, Of string
	Added                string
	Image                bool
	Erase                string // page that erases it; "" for what stays
}

func (s *site) paperRows(list []models.AttachmentView, of string, people map[string]string) []PaperRow {
	rows := make([]PaperRow, len(list))
	for i, a := range list {
		rows[i] = PaperRow{Path: "/papers/" + a.ID, Name: paperName(a), Note: a.Note, Of: of, Image: a.Image(), Added: s.day(a.AddedAt) + ", " + name(people, a.AddedBy)}
	}
	return rows
}

// paperEndings are what names of files end with, by what the files are.
var paperEndings = map[string]string{models.MediaJPEG: ".jpg", models.MediaPNG: ".png", models.MediaWebP: ".webp", models.MediaPDF: ".pdf"}

// paperName is what a paper is called: as its sender did, with the ending of what
// it is.
func paperName(a models.AttachmentView) string {
	plain := strings.TrimSuffix(a.Name, path.Ext(a.Name))
	if plain == "" {
		plain = "photo"
		if !a.Image() {
			plain = "paper"
		}
	}
	return plain + paperEndings[a.MediaType]
}

// paper opens a photo or paper. Its type is one of the few that are kept, by its
// content; the browser is told not to guess another.
func (s *site) paper(c *gin.Context) error {
	view, raw, err := s.services.Documents.Open(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("X-Content-Type-Options", "nosniff")
	c.Header("Content-Disposition", mime.FormatMediaType("inline", map[string]string{"filename": paperName(view)}))
	httpx.Send(c, http.StatusOK, view.MediaType, raw)
	return nil
}

// acceptedPapers is what a browser offers when a file is chosen.
var acceptedPapers = strings.Join(documents.Accepted, ",")

// PaperPage adds a photo or paper to a lot.
type PaperPage struct {
	Frame
	Code, Path, Back string
	Fields           []Field
	Problems         Problems
}

func (s *site) lotPaperPage(c *gin.Context) error {
	return s.showLotPaper(c, http.StatusOK, c.Query, nil)
}

func (s *site) showLotPaper(c *gin.Context, status int, value func(string) string, problem error) error {
	story, err := s.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	code := story.Lot.Code
	f := newForm(value, problem)
	of := Field{Name: "of", Label: "What it shows", Kind: "select", Choices: []Choice{{"", "the lot: delivery note, certificate, label"}}}
	for i := len(story.Checks) - 1; i >= 0; i-- {
		of.Choices = append(of.Choices, Choice{story.Checks[i].ID, "the incoming inspection of " + s.minute(story.Checks[i].CheckedAt)})
	}
	page := PaperPage{Frame: s.frame(c, "Add a paper to "+code, "/lots"), Code: code, Path: lotPath(code) + "/papers", Back: lotPath(code)}
	page.Fields = []Field{
		f.field(Field{Name: "file", ID: "photo", Label: "Take a photo", Kind: "file", Accept: "image/*", Camera: true, Width: "w6"}),
		f.field(Field{Name: "file", Label: "Or choose a file", Kind: "file", Accept: acceptedPapers, Width: "w6", Hint: "JPEG, PNG, WebP or PDF, 20 MB at most."}),
	}
	page.Fields[0].Problem = ""
	if len(of.Choices) > 1 {
		page.Fields = append(page.Fields, f.field(of))
	}
	page.Fields = append(page.Fields, f.field(Field{Name: "note", Label: "Note", Optional: true}))
	page.Problems = f.summary()
	return send(c, status, "paper_add", page)
}

func (s *site) addLotPaper(c *gin.Context) error {
	ctx := c.Request.Context()
	story, err := s.services.Receive.Story(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	file, err := httpx.ReadFile(c, documents.MostBytes)
	kind, subject := models.SubjectLot, story.Lot.ID
	for _, check := range story.Checks {
		if check.ID == file.Fields.Get("of") {
			kind, subject = models.SubjectLotCheck, check.ID
		}
	}
	err = s.keepPaper(c, file, err, kind, subject)
	if answerable(err) {
		return s.showLotPaper(c, http.StatusUnprocessableEntity, file.Fields.Get, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, lotPath(story.Lot.Code), "paper")
}

// keepPaper hangs a file that was read, or not, on a record.
func (s *site) keepPaper(c *gin.Context, file httpx.File, err error, kind, subject string) error {
	if err != nil {
		return err
	}
	if file.TooLarge {
		return documents.TooLarge()
	}
	return s.services.Documents.Add(c.Request.Context(), httpx.Actor(c), kind, subject, documents.Sent{Name: file.Name, Note: file.Fields.Get("note"), Bytes: file.Bytes})
}
