package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// ErrorPage tells a person what happened, what it means and what to do.
type ErrorPage struct {
	Frame
	Happened string
	Means    string
	Todo     string
	Reasons  []string
	Number   string // of the request, where the log has more
}

// errorWords are what each kind of answer means to a person at a page, and
// what can be done.
var errorWords = map[string]struct{ means, todo string }{
	"invalid":        {"Nothing was stored.", "Go back, correct what is named below, and send it again."},
	"refused":        {"Nothing was changed.", "Settle what is named below first."},
	"too_many_tries": {"Wrong secrets are slowed down, so that nobody can try them all.", "Wait as long as named below, then try again."},
	"second_factor":  {"This shop asks desk and owner for a second factor beside the password.", "Set yours up under your name in the menu; then everything opens."},
	"header_twice":   {"The request says twice what is to be said once.", "Ask whoever runs the server: something between this browser and it changes requests."},
	"too_often":      {"More was asked here than strangers may ask.", "Wait a moment, then sign in."},
	"forbidden":      {"Your role does not include this, or it is kept for the office and not for a tablet.", "Ask the owner, or sign in with a password in the office."},
	"not_found":      {"No record answers to that address. It may have been mistyped.", "Type the serial, or its last five characters, into the field above."},
	"conflict":       {"A record with this number is there already and says something else. Nothing was overwritten.", "Look at the record that is there before trying again."},
	"stale":          {"Somebody else saved in between. Nothing was overwritten.", "Go back, reload the page, and decide again on what stands there now."},
	"too_large":      {"Nothing was stored.", "Send less at once: a form holds at most 1 MiB."},
	"cross_origin":   {"The form came from a page that is not this server’s, so it was not carried out.", "Open the page here and send its form again."},
	"host":           {"The server was called by a name it does not know.", "Ask whoever runs the server to add this name to its settings."},
	"busy":           {"Too much was asked at the same moment.", "Try again in a few seconds. Readings on a tablet are kept there until they are sent."},
	"method":         {"The address is right, but not for this kind of request.", "Open it from the menu instead."},

	models.DatabaseAway:    {"This server works, and the database it keeps the records in does not answer. What you sent last may have been stored or not.", "Wait a few seconds and open the page again; before you enter something again, look whether it is there. Readings on a tablet are kept there until they are sent. If it stays, tell whoever runs the server."},
	models.DatabaseBusy:    {"The database had too much to do. Nothing was stored.", "Try again in a few seconds. Readings on a tablet are kept there until they are sent."},
	models.DiskFull:        {"The disk that holds the records has no room left. Nothing was stored; what is there can still be read.", "Tell whoever runs the server to make room on that disk. It goes on by itself as soon as there is some. Readings on a tablet are kept there until they are sent."},
	models.DiskReadOnly:    {"The database, or the disk it lies on, takes no changes. Nothing was stored; what is there can still be read.", "Tell whoever runs the server. It goes on by itself as soon as it can write. Readings on a tablet are kept there until they are sent."},
	models.DiskFailing:     {"The disk that holds the records refuses what it is asked: it fails, or it was made read-only. Nothing was stored.", "Tell whoever runs the server at once: a disk that fails has to be replaced. Readings on a tablet are kept there until they are sent."},
	models.DatabaseDamaged: {"The pages of the database contradict one another.", "Tell whoever runs the server at once to stop it, and to look at the newest backup. Readings on a tablet are kept there until they are sent."},

	"broken_off": {"What was sent did not arrive whole, or came too slowly, or the connection broke before the answer.", "Look at the network, and whether it is there already; then send it again."},
	"internal":   {"It is a fault of the program and not of what you did. Nothing half-done was stored.", "Try once more. If it stays, tell whoever runs the server the number below."},
}

// ShowError is the page for an error; it is given to httpx.NewAnswers. It
// never fails: a page that cannot be drawn becomes plain text.
func ShowError(c *gin.Context, answer httpx.Answer) {
	words := errorWords[answer.Kind]
	page := ErrorPage{Frame: Frame{Tab: answer.Title, Actor: httpx.Actor(c)}, Happened: answer.Title, Means: words.means, Todo: words.todo}
	if answer.Asked && answer.Kind == "invalid" {
		page.Means, page.Todo = "The address names something that cannot be looked up.", "Read the label again, or type the serial or its last five characters into the field above."
	}
	if words.means == "" {
		page.Means = answer.Detail
	}
	if answer.Kind == "not_found" && len(answer.Errors) > 0 {
		page.Means, page.Todo = "", "" // The reason says it all.
	}
	for _, e := range answer.Errors {
		page.Reasons = append(page.Reasons, e.Message)
	}
	if answer.Status >= http.StatusInternalServerError {
		page.Number = answer.RequestID
	}
	body, err := renderPage("error", page)
	if err != nil {
		c.String(answer.Status, "%s. %s", answer.Title, answer.Detail)
		return
	}
	httpx.Send(c, answer.Status, "text/html; charset=utf-8", body)
}
