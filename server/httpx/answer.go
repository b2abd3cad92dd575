package httpx

import (
	"context"
	"errors"
	"net/http"
	"time"

	"tracewright/models"
	"tracewright/models/work/access"
)

// Answer is an error as a stranger may see it: a status, a title, and one
// entry for each thing that is wrong. A page and the API show the same one.
type Answer struct {
	Status    int
	Kind      string // names the kind of problem: invalid, not_found, conflict ...
	Title     string
	Detail    string
	Errors    []AnswerError
	RequestID string
	Asked     bool          // nothing was to be changed: a page or record was asked for
	Wait      time.Duration // until the next try makes sense; 0: not said
}

// AnswerError is one thing that is wrong, with the field it is wrong with
// where there is one.
type AnswerError struct {
	Field   string            `json:"field,omitempty"`
	Code    string            `json:"code"`
	Values  map[string]string `json:"values,omitempty"`
	Message string            `json:"message"`
}

// statusError is an error of the web itself, which no service knows.
type statusError struct {
	status int
	kind   string
	cause  error
}

func (e *statusError) Error() string {
	if e.cause != nil {
		return e.kind + ": " + e.cause.Error()
	}
	return e.kind
}

func (e *statusError) Unwrap() error { return e.cause }

// Errors of the web itself.
var (
	errTooLarge    = &statusError{status: http.StatusRequestEntityTooLarge, kind: "too_large"}
	errMediaType   = &statusError{status: http.StatusUnsupportedMediaType, kind: "media_type"}
	errHost        = &statusError{status: http.StatusMisdirectedRequest, kind: "host"}
	errCrossOrigin = &statusError{status: http.StatusForbidden, kind: "cross_origin"}
	errBusy        = &statusError{status: http.StatusServiceUnavailable, kind: "busy"}
	errBrokenOff   = &statusError{status: http.StatusRequestTimeout, kind: "broken_off"}
	errNoRoute     = &statusError{status: http.StatusNotFound, kind: "not_found"}
	errNoMethod    = &statusError{status: http.StatusMethodNotAllowed, kind: "method"}
	errPanic       = errors.New("a handler panicked")
)

// answerFor finds the answer to an error. What is not known here is a 500 that
// tells nothing.
func (a *Answers) answerFor(err error) Answer {
	var (
		web     *statusError
		invalid *models.InvalidError
		refused *models.RefusedError
		wait    *access.WaitError
		large   *http.MaxBytesError
		away    *models.UnavailableError
	)
	switch {
	case errors.As(err, &large):
		return a.plain(http.StatusRequestEntityTooLarge, "too_large")
	case errors.As(err, &web):
		answer := a.plain(web.status, web.kind)
		if errors.As(err, &wait) {
			answer.Wait = wait.Wait
		}
		return answer
	case errors.As(err, &invalid):
		answer := a.plain(http.StatusUnprocessableEntity, "invalid")
		for _, p := range invalid.Problems {
			answer.Errors = append(answer.Errors, AnswerError{Field: p.Field, Code: p.Code, Values: p.Values, Message: a.words(p.Code, p.Values)})
		}
		return answer
	case errors.As(err, &refused):
		answer := a.plain(http.StatusConflict, "refused")
		if errors.Is(err, models.ErrNotFound) { // Not there, and the reason why.
			answer = a.plain(http.StatusNotFound, "not_found")
		} else if errors.Is(err, models.ErrForbidden) { // Not this person's to do, and whose.
			answer = a.plain(http.StatusForbidden, "forbidden")
		}
		for _, r := range refused.Reasons {
			answer.Errors = append(answer.Errors, AnswerError{Code: r.Code, Values: r.Values, Message: a.words(r.Code, r.Values)})
		}
		return answer
	case errors.As(err, &wait):
		answer := a.plain(http.StatusTooManyRequests, "too_many_tries")
		answer.Wait = wait.Wait
		r := wait.Remark()
		answer.Errors = append(answer.Errors, AnswerError{Code: r.Code, Values: r.Values, Message: a.words(r.Code, r.Values)})
		return answer
	case errors.Is(err, context.Canceled): // Whoever asked has gone; it is no fault of the program.
		return a.plain(errBrokenOff.status, errBrokenOff.kind)
	case errors.As(err, &away):
		answer := a.plain(http.StatusServiceUnavailable, away.Code)
		answer.Wait = away.Wait()
		return answer
	case errors.Is(err, models.ErrUnauthenticated):
		return a.plain(http.StatusUnauthorized, "unauthenticated")
	case errors.Is(err, models.ErrForbidden):
		return a.plain(http.StatusForbidden, "forbidden")
	case errors.Is(err, models.ErrNotFound):
		return a.plain(http.StatusNotFound, "not_found")
	case errors.Is(err, models.ErrStale):
		return a.plain(http.StatusConflict, "stale")
	case errors.Is(err, models.ErrConflict):
		return a.plain(http.StatusConflict, "conflict")
	case errors.Is(err, context.DeadlineExceeded):
		return a.plain(http.StatusServiceUnavailable, "busy")
	}
	return a.plain(http.StatusInternalServerError, "internal")
}

func (a *Answers) plain(status int, kind string) Answer {
	t := titles[kind]
	return Answer{Status: status, Kind: kind, Title: t.title, Detail: t.detail}
}

// asked puts an answer to a request that was to change nothing into words that
// do not speak of storing.
func (a *Answer) asked() {
	a.Asked = true
	if t, ok := askedTitles[a.Kind]; ok {
		a.Title, a.Detail = t.title, t.detail
	}
}

// askedTitles are the words of kinds of problem that read otherwise where
// something was only asked for.
var askedTitles = map[string]struct{ title, detail string }{
	"invalid": {"Not understood", "Each entry names what was asked with, and what is wrong with it."},
	"refused": {"Not possible as things stand", "Each entry names a reason."},
}

// titles are the words of the kinds of problem. What is wrong in particular
// stands in the entries.
var titles = map[string]struct{ title, detail string }{
	"invalid":         {"Some of this cannot be taken", "Nothing was stored. Each entry names a field and what is wrong with it."},
	"refused":         {"Not possible as things stand", "Nothing was changed. Each entry names a reason."},
	"too_many_tries":  {"Too many tries", "Wait a little before trying again."},
	"too_often":       {"Too many questions", "Nobody is signed in here, and more was asked than strangers may ask. Wait a moment, or sign in."},
	"header_twice":    {"Said twice", "Who asks, from where and in what form is to be said once."},
	"unauthenticated": {"Nobody is signed in", "Sign in, or send the key of an enrolled device."},
	"second_factor":   {"A second factor comes first", "This shop asks desk and owner for one beside the password. Set yours up; then everything opens."},
	"forbidden":       {"Not yours to do", "This needs another role, or the office instead of a tablet."},
	"not_found":       {"Not found", "Nothing here answers to that address or number."},
	"conflict":        {"Already there with other content", "A record under this key exists and differs. Nothing was overwritten."},
	"stale":           {"Changed meanwhile", "Somebody else saved in between. Read again and decide again."},
	"too_large":       {"Too large", "A request may hold at most 1 MiB, one with a file 64 MiB."},
	"media_type":      {"Not JSON", "Send the body as application/json in UTF-8, not compressed."},
	"host":            {"Unknown address", "This server does not answer to the name it was called by. Start it with --host and that name, if the name is right."},
	"cross_origin":    {"From another site", "The request came from a page of another site and was not carried out."},
	"busy":            {"Busy", "Too much was asked at the same moment, or the database answers too slowly. Try again in a few seconds."},
	"method":          {"Not here", "This address does not take that kind of request."},

	models.DatabaseAway:    {"The database does not answer", "The server is there and its database is not. What was sent may have been stored or not: send it again as it was, nothing is stored twice."},
	models.DatabaseBusy:    {"The database is busy", "Nothing was stored. Try again in a few seconds."},
	models.DiskFull:        {"The disk is full", "Nothing was stored. Whoever runs the server has to make room on the disk of the database; what is there can be read meanwhile."},
	models.DiskReadOnly:    {"Nothing can be written", "Nothing was stored. The database or its disk takes no changes; what is there can be read meanwhile."},
	models.DiskFailing:     {"The disk refuses", "Nothing was stored. The disk of the database refuses what it is asked: it fails, or was made read-only. Whoever runs the server has to look at it."},
	models.DatabaseDamaged: {"The database is damaged", "Its pages contradict one another. Whoever runs the server has to look at it, and at the newest backup."},

	"broken_off": {"It broke off", "What was sent did not arrive whole, came too slowly, or the connection broke before the answer. Look whether it is there, and send it again."},
	"internal":   {"Something went wrong here", "It was written down under the number below. Nothing half-done is kept."},
}
