package claims

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/symptom"
)

const (
	mostQuestions   = 12
	longestQuestion = 160
)

// List is what is asked about a complaint now, with what the shop made of it
// before.
type List struct {
	models.CheckList                    // the newest; revision 0 is the shipped one
	Kind             string             // of the items that it is about
	AsShipped        bool               // it asks what the program brings along
	Revisions        []models.CheckList // that the shop made, the oldest first
}

// Asked is the list as it stood in a revision, false where there is none.
func (l List) Asked(revision int) (models.CheckList, bool) {
	if revision == 0 {
		shipped, known := symptom.Named(l.Symptom)
		return shippedList(shipped), known
	}
	at := slices.IndexFunc(l.Revisions, func(r models.CheckList) bool { return r.Revision == revision })
	if at < 0 {
		return models.CheckList{}, false
	}
	return l.Revisions[at], true
}

func shippedList(s symptom.Symptom) models.CheckList {
	l := models.CheckList{Symptom: s.Code, Otherwise: s.Otherwise}
	for _, q := range s.Questions {
		l.Questions = append(l.Questions, models.CheckQuestion{Code: q.Code, Yes: q.Yes})
	}
	return l
}

// Leads is the code that answers to a list lead to, by the rule of the shipped
// ones.
func Leads(l models.CheckList, yes func(question string) bool) string {
	s := symptom.Symptom{Otherwise: l.Otherwise}
	for _, q := range l.Questions {
		s.Questions = append(s.Questions, symptom.Question{Code: q.Code, Yes: q.Yes})
	}
	return s.Leads(yes)
}

// Lists gives the check list of every complaint in the order in which they are
// offered: of wheels, then of packs.
func (s *Service) Lists(ctx context.Context) ([]List, error) {
	made, err := s.store.CheckLists(ctx)
	if err != nil {
		return nil, fmt.Errorf("check lists: %w", err)
	}
	var out []List
	for _, shipped := range slices.Concat(symptom.For(models.KindWheel), symptom.For(models.KindPack)) {
		l := List{CheckList: shippedList(shipped), Kind: shipped.Kind}
		brought := l.CheckList
		for _, r := range made {
			if r.Symptom == shipped.Code {
				l.CheckList, l.Revisions = r, append(l.Revisions, r)
			}
		}
		l.AsShipped = l.Otherwise == brought.Otherwise && slices.Equal(l.Questions, brought.Questions)
		out = append(out, l)
	}
	return out, nil
}

// List finds the check list of a complaint, or models.ErrNotFound.
func (s *Service) List(ctx context.Context, code string) (List, error) {
	lists, err := s.Lists(ctx)
	if err != nil {
		return List{}, err
	}
	at := slices.IndexFunc(lists, func(l List) bool { return l.Symptom == code })
	if at < 0 {
		return List{}, fmt.Errorf("check list %.40q: %w", code, models.ErrNotFound)
	}
	return lists[at], nil
}

// Revision is a check list as the shop wants it asked from now on.
type Revision struct {
	From      int // the revision that was changed
	Questions []models.CheckQuestion
	Otherwise string
	Reason    string
}

// Revise adds a revision. A question of the shop's own has a text and is given
// its code here; one that is shipped keeps its code and has none. Errors: an
// InvalidError with every problem; models.ErrStale when somebody revised it
// meanwhile.
func (s *Service) Revise(ctx context.Context, actor models.Actor, code string, in Revision) error {
	l, err := s.List(ctx, code)
	if err != nil {
		return err
	}
	if in.From != l.Revision {
		return fmt.Errorf("check list %s: %w", code, models.ErrStale)
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return fmt.Errorf("codes of defects: %w", err)
	}
	invalid := &models.InvalidError{}
	next := models.CheckList{Symptom: code, Revision: len(l.Revisions) + 1, Otherwise: in.Otherwise, Reason: models.Trimmed(in.Reason)}
	if next.Reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Lines("reason", next.Reason, longest)
	switch n := len(in.Questions); {
	case n == 0:
		invalid.Add("questions", "check_list_empty")
	case n > mostQuestions:
		invalid.Add("questions", "too_big", "most", fmt.Sprint(mostQuestions))
	}
	if !endsIn(defects, l.Kind, in.Otherwise) {
		invalid.Add("otherwise", "unknown_choice", "typed", models.Shortened(in.Otherwise))
	}
	next.Questions = questions(defects, l.Kind, in.Questions, invalid)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if next.Otherwise == l.Otherwise && slices.Equal(next.Questions, l.Questions) {
		return models.Invalid("questions", "check_list_same")
	}
	return s.addList(ctx, actor, next)
}

// questions checks what is to be asked and gives the shop's own their codes.
func questions(defects models.Defects, kind string, in []models.CheckQuestion, invalid *models.InvalidError) []models.CheckQuestion {
	known := map[string]bool{}
	for _, x := range symptom.For(kind) {
		for _, q := range x.Questions {
			known[q.Code] = true
		}
	}
	var out []models.CheckQuestion
	asked := map[string]bool{}
	for i, q := range in {
		field := fmt.Sprintf("questions[%d]", i)
		q.Text = models.OneLine(q.Text)
		switch {
		case q.Text != "":
			q.Code = fmt.Sprintf("own%d", i+1)
		case !known[q.Code]:
			invalid.Add(field+".text", "missing")
		}
		invalid.Line(field+".text", q.Text, longestQuestion)
		if same := q.Text + "\x00" + q.Code; q.Text == "" && asked[same] || q.Text != "" && asked[q.Text] {
			invalid.Add(field+".text", "twice")
		} else {
			asked[same], asked[q.Text] = true, true
		}
		if !endsIn(defects, kind, q.Yes) {
			invalid.Add(field+".yes", "unknown_choice", "typed", models.Shortened(q.Yes))
		}
		out = append(out, q)
	}
	return out
}

// endsIn says whether a list of a kind may end in a code: one of its own defects,
// or that it is something else.
func endsIn(defects models.Defects, kind, code string) bool {
	return slices.Contains(defects.Choices(kind), code)
}

// Restore goes back to the shipped list, as a revision of its own, from the one that was
// looked at: models.ErrStale when somebody revised it meanwhile.
func (s *Service) Restore(ctx context.Context, actor models.Actor, code string, from int) error {
	l, err := s.List(ctx, code)
	if err != nil || l.AsShipped {
		return err
	}
	if from != l.Revision {
		return fmt.Errorf("check list %s: %w", code, models.ErrStale)
	}
	shipped, _ := l.Asked(0)
	shipped.Revision = len(l.Revisions) + 1
	return s.addList(ctx, actor, shipped)
}

func (s *Service) addList(ctx context.Context, actor models.Actor, l models.CheckList) error {
	err := s.store.AddCheckList(ctx, models.NewStamp(actor, s.now()), l)
	if errors.Is(err, models.ErrConflict) {
		return fmt.Errorf("check list %s: %w", l.Symptom, models.ErrStale)
	}
	if err != nil {
		return fmt.Errorf("revise the check list %s: %w", l.Symptom, err)
	}
	return nil
}
