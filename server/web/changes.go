package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/sealing"
	"tracewright/server/httpx"
)

// ChangesPage tells who changed what, when and why, newest first, and how the
// log of it is sealed.
type ChangesPage struct {
	Frame
	Answer   string
	Doubts   []string // what somebody should look at
	Facts    []ChangeFact
	Filters  []Field
	Filtered bool
	Rows     []ChangeRow
	None     string // why there is no row
	Wrong    bool   // what is asked for cannot be
	Older    string // path of the next page; empty at the end
	Cut      string // the search stopped there: how far back it looked
	Newest   string // path of the first page, from a later one
	Out      []Field
}

// ChangeFact is a line of how the log is sealed.
type ChangeFact struct{ Label, Value, Means string }

// ChangeRow is one change.
type ChangeRow struct {
	When, Who, What string
	About           []Span
	Why             string
	Number          string // in the chain; empty while it waits for its seal
}

// changesShown is how many changes a page lists.
const changesShown = 50

func (s *site) changes(c *gin.Context) error {
	return s.showChanges(c, http.StatusOK, nil)
}

func (s *site) showChanges(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	page := ChangesPage{Frame: s.frame(c, "Changes", "/changes")}
	state, err := s.services.Sealing.State(ctx)
	if err != nil {
		return err
	}
	page.Answer, page.Doubts, page.Facts = s.sealed(state)
	everybody, err := s.services.Access.People(ctx)
	if err != nil {
		return err
	}
	query, asked := models.ChangeQuery{Limit: changesShown}, problem
	if asked == nil {
		query, asked = s.changeQuery(ctx, c)
	}
	if asked != nil && !answerable(asked) {
		return asked
	}
	f := newForm(c.Query, asked)
	page.Filters = changeFilters(f, everybody, s.services.Sealing.ChangeKinds())
	page.Out = []Field{f.field(Field{Name: "sealed_from", Label: "Sealed from", Kind: "date"}), f.field(Field{Name: "sealed_to", Label: "To", Kind: "date"})}
	page.Filtered = slices.ContainsFunc([]string{"person", "kind", "about", "from", "to"}, func(name string) bool { return c.Query(name) != "" })
	if asked != nil {
		page.None, page.Wrong = "Nothing is listed: put right what is marked.", true
		return send(c, http.StatusUnprocessableEntity, "changes", page)
	}
	found, err := s.services.Sealing.Changes(ctx, query)
	if err != nil {
		return err
	}
	people := models.NamesOf(everybody)
	for _, change := range found.List {
		page.Rows = append(page.Rows, s.changeRow(change, people))
	}
	page.leaf(c.Request.URL.Query(), found, s)
	return send(c, status, "changes", page)
}

// leaf adds the ways to the pages before and behind.
func (p *ChangesPage) leaf(asked url.Values, found sealing.Changes, s *site) {
	if asked.Has("before") {
		asked.Del("before")
		p.Newest = "/changes?" + asked.Encode()
	}
	if found.Next.Zero() {
		if len(p.Rows) == 0 {
			p.None = "No change like that."
		}
		return
	}
	asked.Set("before", keyText(found.Next))
	p.Older = "/changes?" + asked.Encode()
	if found.Cut {
		p.Cut = "Looked at back to " + s.minute(found.Next.At) + ", and there are older changes."
	}
}

func changeFilters(f *form, people []models.Person, kinds []string) []Field {
	who := []Choice{{"", "Everybody"}}
	people = slices.SortedFunc(slices.Values(people), func(a, b models.Person) int { return cmp.Compare(a.Name, b.Name) })
	for _, p := range people {
		who = append(who, Choice{p.ID, p.Name})
	}
	who = append(who, Choice{models.Actor{}.String(), "The program"})
	what := choices(kinds, english.Change)
	slices.SortFunc(what, func(a, b Choice) int { return cmp.Compare(a.Text, b.Text) })
	return []Field{
		f.field(Field{Name: "person", Label: "Who", Kind: "select", Choices: who}),
		f.field(Field{Name: "kind", Label: "What", Kind: "select", Choices: append([]Choice{{"", "Everything"}}, what...)}),
		f.field(Field{Name: "about", Label: "Item or lot", Mono: true}),
		f.field(Field{Name: "from", Label: "From", Kind: "date"}),
		f.field(Field{Name: "to", Label: "To", Kind: "date"}),
	}
}

// changeQuery reads what is asked for; days are the shop's, the last one whole.
func (s *site) changeQuery(ctx context.Context, c *gin.Context) (models.ChangeQuery, error) {
	q := models.ChangeQuery{Actor: c.Query("person"), Kind: c.Query("kind"), Limit: changesShown}
	var problems models.InvalidError
	if q.Kind != "" && !slices.Contains(s.services.Sealing.ChangeKinds(), q.Kind) {
		problems.Add("kind", "unknown_choice", "typed", models.Shortened(q.Kind))
	}
	q.From, q.To = s.days(c, "from", "to", &problems)
	if before := c.Query("before"); before != "" {
		key, ok := keyOf(before)
		if !ok {
			problems.Add("before", "unknown_choice", "typed", models.Shortened(before))
		}
		q.Before = key
	}
	if typed := strings.TrimSpace(c.Query("about")); typed != "" {
		subjects, err := s.subjectsNamed(ctx, typed)
		if err != nil {
			return q, err
		}
		if len(subjects) == 0 {
			problems.Add("about", "no_such_subject", "typed", models.Shortened(typed))
		}
		q.Subjects = subjects
	}
	return q, problems.OrNil()
}

// days reads two days of the query; the end is that of the second day.
func (s *site) days(c *gin.Context, from, to string, problems *models.InvalidError) (begin, end time.Time) {
	read := func(name string) time.Time {
		typed := c.Query(name)
		if typed == "" {
			return time.Time{}
		}
		day, err := models.ReadDay(typed, s.zone())
		if err != nil {
			problems.Add(name, "bad_date", "typed", models.Shortened(typed))
		}
		return day
	}
	begin, end = read(from), read(to)
	if !end.IsZero() {
		end = models.DayOf(end, 1)
		if !begin.IsZero() && !begin.Before(end) {
			problems.Add(to, "end_before_start")
		}
	}
	return begin, end
}

// subjectsNamed are the keys of records about what was typed: an item and what
// belongs to it, or a lot.
func (s *site) subjectsNamed(ctx context.Context, typed string) ([]string, error) {
	items, err := s.services.Trace.Find(ctx, typed)
	if err != nil {
		return nil, err
	}
	if len(items) == 1 {
		view, err := s.services.Trace.Item(ctx, items[0].ID)
		return view.TrailSubjects(), err
	}
	lot, err := s.services.Trace.LotNamed(ctx, typed)
	if errors.Is(err, models.ErrNotFound) {
		return nil, nil
	}
	return []string{lot.ID}, err
}

// keyText is where a page begins, as its address says it.
func keyText(k models.ChangeKey) string { return models.TimeText(k.At) + "_" + k.ID }

func keyOf(text string) (models.ChangeKey, bool) {
	at, id, _ := strings.Cut(text, "_")
	moment, err := time.Parse(time.RFC3339, at)
	return models.ChangeKey{At: moment, ID: id}, err == nil && models.IsID(id)
}

// sealed says how the log stands.
func (s *site) sealed(v sealing.State) (answer string, trouble []string, facts []ChangeFact) {
	all := int(v.Sealed) + v.Waiting
	switch {
	case !v.Begun:
		answer = counted(all, "change is", "changes are") + " written down, none of them sealed"
	case v.Waiting > 0:
		answer = fmt.Sprintf("%s: the last %s for the seal", plural(all, "change", "changes"), plural(v.Waiting, "waits", "wait"))
	default:
		answer = counted(all, "change, sealed", "changes, all sealed")
	}
	trouble = sealTrouble(v)
	add := func(label, value, means string) { facts = append(facts, ChangeFact{label, value, means}) }
	waits := "nothing waits for its seal"
	if v.Waiting > 0 {
		waits = plural(v.Waiting, "waits", "wait") + " for the next turn, a moment from now"
	}
	add("In the chain", written(v.Sealed), waits)
	if v.Newest != nil {
		since := "; nothing came since"
		if n := v.Sealed - v.Newest.Size; n > 0 {
			since = "; " + written(n) + " came since"
		}
		add("Last checkpoint", s.minute(v.Newest.At), "a signature over the first "+written(v.Newest.Size)+since)
	} else {
		add("Last checkpoint", "none yet", "a signature over everything so far, each hour and with each certificate")
	}
	if v.KeyID != "" {
		add("Key of this server", v.KeyID, "in "+v.KeysIn+", apart from the database; "+plural(len(v.Keys), "key", "keys")+" in this log so far")
	} else {
		add("Key of this server", "none", "nothing is sealed or signed here")
	}
	if v.CopyTo != "" {
		add("Copies", v.CopyTo, "each checkpoint goes there too: against a copy that is out of reach, a shortened log is found out")
	} else {
		add("Copies", "nowhere", "start the server with --checkpoints and a folder on another disk or machine: a log that was cut short is found out only against a copy kept elsewhere")
	}
	return answer, trouble, facts
}

func written(n int64) string { return strconv.FormatInt(n, 10) }

// sealTrouble puts into words what goes wrong with the seal.
func sealTrouble(v sealing.State) (trouble []string) {
	if v.NotSealed != nil {
		trouble = append(trouble, "Changes are kept, but not sealed at present: see the server’s log.")
	}
	if v.NotSigned != nil {
		trouble = append(trouble, "No checkpoint can be signed at present: see the server’s log.")
	}
	var lost *sealing.LostError
	switch {
	case errors.As(v.NotCopied, &lost):
		trouble = append(trouble, fmt.Sprintf("A checkpoint over the first %s changes lies in %s, and this database, which holds %s, does not have it. Changes were taken away or written anew, or an older database was put back. If that was done on purpose, start the server with --checkpoints and another folder.", words.Thousands(int(lost.Size)), lost.Place, words.Thousands(int(lost.Held))))
	case v.NotCopied != nil:
		trouble = append(trouble, "Checkpoints cannot be copied to "+v.CopyTo+". They stay in the database and are copied once the folder can be written.")
	}
	if v.ClockBehind > 0 {
		trouble = append(trouble, "The server’s clock stands "+v.ClockBehind.Round(time.Second).String()+" behind the last seal: new seals are dated like it until the clock has caught up. Set the clock right.")
	}
	return trouble
}

func (s *site) exportChanges(c *gin.Context) error {
	var problems models.InvalidError
	from, to := s.days(c, "sealed_from", "sealed_to", &problems)
	if err := problems.OrNil(); err != nil {
		return s.showChanges(c, http.StatusUnprocessableEntity, err)
	}
	return httpx.SendFile(c, "changes "+s.now().Format(time.DateOnly)+".jsonl", "application/jsonl", func(out io.Writer) error {
		return s.services.Sealing.Export(c.Request.Context(), from, to, out)
	})
}

// sealRows are what is wrong with the seal, on the first page of who can set it
// right. They ask no database.
func (s *site) sealRows(frame Frame) (rows []TodayRow) {
	if !frame.Actor.May(models.ActManagePeople) {
		return nil
	}
	for _, line := range sealTrouble(s.services.Sealing.Troubles()) {
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Seal", "care"}, Title: []Span{{Text: "The log of changes needs a look"}}, Line: line, Act: Act{Text: "See the changes", Path: "/changes"}})
	}
	return rows
}
