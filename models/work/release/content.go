package release

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/flow"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

const dayForm = "2006-01-02"

// freeze takes everything a certificate says from the records, but for its
// number.
func (s *Service) freeze(ctx context.Context, c candidate, stamp models.Stamp) (models.CertificateContent, error) {
	view := *c.judged
	zone := s.zone(ctx)
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return models.CertificateContent{}, fmt.Errorf("settings of the shop: %w", err)
	}
	product, err := s.store.Product(ctx, *c.item.ProductID)
	if err != nil {
		return models.CertificateContent{}, fmt.Errorf("product of %s: %w", c.item.Name(), err)
	}
	form, err := s.store.ProductRevision(ctx, product.ID, *view.Inspection.ProductRevision)
	if err != nil {
		return models.CertificateContent{}, fmt.Errorf("form of product %s: %w", product.Name, err)
	}
	pack, err := s.asCarried(ctx, c.item, form.Form.Pack)
	if err != nil {
		return models.CertificateContent{}, err
	}
	measuredBy, err := s.person(ctx, view.Inspection.PersonID)
	if err != nil {
		return models.CertificateContent{}, err
	}
	parts, err := s.parts(ctx, c.item.ID)
	if err != nil {
		return models.CertificateContent{}, err
	}
	spec := view.Specification
	of := c.family.Name
	if spec.ProductID != nil {
		of = product.Name
	}
	results, err := certificateResults(spec, view)
	if err != nil {
		return models.CertificateContent{}, err
	}
	day := view.Inspection.MeasuredAt.In(zone).Format(dayForm)
	if err := s.asMeasuredWith(ctx, &view, day); err != nil {
		return models.CertificateContent{}, err
	}
	checkAt, err := newCheckAt(settings[models.SettingPublicAddress])
	if err != nil {
		return models.CertificateContent{}, err
	}
	content := models.CertificateContent{
		Language: models.LanguageOr(settings[models.SettingPaperLanguage]),
		Issuer:   models.CertificateIssuer{Name: settings[models.SettingShopName], Address: settings[models.SettingShopAddress], Place: view.Inspection.Place},
		IssuedAt: models.TimeText(stamp.At), IssuedOn: stamp.At.In(zone).Format(dayForm), IssuedOffset: offset(stamp.At, zone),
		Item:          models.CertificateItem{Kind: c.item.Kind, Serial: *c.item.Serial, Product: product.Name, Family: c.family.Name, Wheel: form.Form.Wheel, Pack: pack},
		Parts:         parts,
		Specification: models.CertificateSpecification{Of: of, Revision: spec.Revision, Grade: spec.Grade, Rule: spec.Rule, GuardFactor: spec.GuardFactor},
		Inspection: models.CertificateInspection{ID: view.Inspection.ID, Stage: view.Inspection.Stage, MeasuredOn: day, MeasuredAt: models.TimeText(view.Inspection.MeasuredAt), Offset: offset(view.Inspection.MeasuredAt, zone),
			Conditions: judgedConditions(view.Inspection)},
		Results: results, Readings: certificateReadings(view), Instruments: certificateInstruments(view, day),
		Verdict: view.Inspection.Verdict, Remarks: view.Inspection.Remarks, MeasuredBy: measuredBy,
		ReleasedBy: models.CertificatePerson{Name: stamp.By.Name, Role: stamp.By.Role}, SelfReleased: stamp.By.PersonID == view.Inspection.PersonID,
		Cautions: cautionsOf(c.item.Kind, form.Form), CheckAt: checkAt,
	}
	if content.Concession, err = s.concession(ctx, c); err != nil {
		return models.CertificateContent{}, err
	}
	if content.ReleasedBy.Name == "" {
		if content.ReleasedBy, err = s.person(ctx, stamp.By.PersonID); err != nil {
			return models.CertificateContent{}, err
		}
	}
	return content, nil
}

// offset is how far the clocks of a zone stood from UTC: "+05:30"; "" for not at
// all. It is frozen with the moment, so that no later table of zones moves it.
func offset(t time.Time, zone *time.Location) string {
	local := t.In(zone)
	if _, seconds := local.Zone(); seconds == 0 {
		return ""
	}
	return local.Format("-07:00")
}

// concession is what lets the item out although it does not conform: results of
// it fail, or something is wrong that no result shows, which then is told beside
// the reason. It is nil where none bears on what is certified.
func (s *Service) concession(ctx context.Context, c candidate) (*models.CertificateConcession, error) {
	if bears, err := s.bears(ctx, c); err != nil || !bears {
		return nil, err
	}
	covered, reason := c.concession.Results, c.concession.Reason
	if len(covered) == 0 {
		covered, reason = []string{}, strings.TrimRight(c.concession.Found, ".!? ")+"; "+reason
	}
	approved, err := s.person(ctx, c.concession.ApprovedBy)
	if err != nil {
		return nil, err
	}
	return &models.CertificateConcession{Number: c.concession.Number, Results: covered, Reason: reason, ApprovedBy: approved,
		ApprovedOn: c.concession.ApprovedAt.In(s.zone(ctx)).Format(dayForm)}, nil
}

// bears says whether a concession bears on what is certified. One that lets results
// fail does on the inspection it was given on alone. What no result shows, no later
// inspection shows to be gone either: there it does for as long as the item is
// conceded, or certified under it.
func (s *Service) bears(ctx context.Context, c candidate) (bool, error) {
	switch {
	case c.concession == nil:
		return false, nil
	case c.concession.Concerns(c.judged.Inspection.ID):
		return true, nil
	case len(c.concession.Results) > 0:
		return false, nil
	case c.item.State == models.StateConceded:
		return true, nil
	case !flow.Allows(c.item.State, flow.Revise): // It passed by itself since.
		return false, nil
	}
	inForce, err := s.store.CertificateInForce(ctx, c.item.ID)
	if errors.Is(err, models.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("certificate of %s: %w", c.item.Name(), err)
	}
	var content models.CertificateContent
	if err := json.Unmarshal([]byte(inForce.Content), &content); err != nil {
		return false, fmt.Errorf("content of certificate %s: %w", inForce.Number, err)
	}
	return content.Concession != nil && content.Concession.Number == c.concession.Number, nil
}

func (s *Service) person(ctx context.Context, id string) (models.CertificatePerson, error) {
	p, err := s.store.Person(ctx, id)
	if err != nil {
		return models.CertificatePerson{}, fmt.Errorf("person %s: %w", id, err)
	}
	return models.CertificatePerson{Name: p.Name, Role: p.Role}, nil
}

func (s *Service) parts(ctx context.Context, itemID string) ([]models.CertificatePart, error) {
	fitted, err := s.store.Parts(ctx, itemID)
	if err != nil {
		return nil, fmt.Errorf("parts of item %s: %w", itemID, err)
	}
	return models.CertifiedParts(fitted), nil
}

// certificateResults puts the results in the order of the specification, and a
// line "not measured" where a limited result cannot be had by the method used.
// Values are rounded for print as the specification has it, to more decimals where
// rounding would change the look of the verdict.
func certificateResults(spec models.Specification, view models.InspectionView) ([]models.CertificateResult, error) {
	list := make([]models.CertificateResult, 0, len(view.Results))
	for _, c := range spec.Characteristics {
		for _, l := range c.Results {
			found := false
			for _, r := range view.Results {
				if r.Code != l.Result {
					continue
				}
				found = true
				line, err := certificateResult(r, l, c.Printed(l))
				if err != nil {
					return nil, err
				}
				list = append(list, line)
			}
			if !found && l.HasLimit() {
				list = append(list, models.CertificateResult{Code: l.Result, Unit: l.Unit, Low: l.Low, High: l.High, Verdict: models.VerdictNone, Missing: true, Rule: l.Rule, GuardFactor: l.GuardFactor})
			}
		}
	}
	return list, nil
}

func certificateResult(r models.Result, l models.Limit, decimals int) (models.CertificateResult, error) {
	line := models.CertificateResult{Code: r.Code, Position: r.Position, Value: r.Value, Shown: r.Value, Unit: r.Unit, Low: r.Low, High: r.High, AcceptLow: r.AcceptLow, AcceptHigh: r.AcceptHigh,
		U: r.U, Verdict: r.Verdict, Reason: r.Reason, Method: r.Method, Readings: r.Readings, Detail: r.Detail, Rule: l.Rule, GuardFactor: l.GuardFactor}
	if r.ValueF == nil {
		return line, nil
	}
	value, err := measure.Parse(r.Value)
	if err != nil {
		return line, fmt.Errorf("value of %s: %w", r.Code, err)
	}
	var limits conformity.Limits
	for _, part := range []struct {
		text string
		into **measure.Decimal
	}{{r.Low, &limits.Low}, {r.High, &limits.High}} {
		if part.text == "" {
			continue
		}
		d, err := measure.Parse(part.text)
		if err != nil {
			return line, fmt.Errorf("limit of %s: %w", r.Code, err)
		}
		*part.into = &d
	}
	line.Shown, _ = conformity.Shown(value, decimals, limits)
	return line, nil
}

func certificateReadings(view models.InspectionView) []models.CertificateReadings {
	list := make([]models.CertificateReadings, 0, len(view.Sets))
	codes := map[string]string{}
	for _, i := range view.Instruments {
		codes[i.ID] = i.Code
	}
	for _, s := range view.Sets {
		values, unit := s.Readable()
		r := models.CertificateReadings{Code: s.Code, Method: s.Method, Unit: unit, Manner: s.Manner, Values: values, Index: s.Index}
		if s.InstrumentID != nil {
			r.Instrument = codes[*s.InstrumentID]
		}
		list = append(list, r)
	}
	return list
}

// asMeasuredWith gives the instruments of an inspection the calibration that
// was in force when the readings were taken.
func (s *Service) asMeasuredWith(ctx context.Context, view *models.InspectionView, day string) error {
	ids := make([]string, len(view.Instruments))
	for k, i := range view.Instruments {
		ids[k] = i.ID
	}
	all, err := s.store.CalibrationsOf(ctx, ids)
	if err != nil {
		return fmt.Errorf("calibrations of the instruments: %w", err)
	}
	view.Instruments = slices.Clone(view.Instruments)
	for k, i := range view.Instruments {
		view.Instruments[k] = i.CalibratedAt(all, view.Inspection.MeasuredAt, day)
	}
	return nil
}

func certificateInstruments(view models.InspectionView, day string) []models.CertificateInstrument {
	list := make([]models.CertificateInstrument, 0, len(view.Instruments))
	for _, i := range view.Instruments {
		line := models.CertificateInstrument{Code: i.Code, Name: i.Name, Resolution: i.Resolution, Unit: i.Unit, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn,
			Certificate: i.CertificateNumber, Overdue: i.OverdueOn(day)}
		for _, s := range view.Sets {
			if s.InstrumentID != nil && *s.InstrumentID == i.ID && !slices.Contains(line.UsedFor, s.Code) {
				line.UsedFor = append(line.UsedFor, s.Code)
			}
		}
		list = append(list, line)
	}
	slices.SortFunc(list, func(a, b models.CertificateInstrument) int { return strings.Compare(a.Code, b.Code) })
	return list
}

// cautionsOf names the cautions that stand on the paper of a kind of item.
func cautionsOf(kind string, form models.ProductForm) []string {
	switch {
	case kind == models.KindWheel:
		return []string{"recheck_bedding", "stop_riding", "axle_and_torque", "eye_protection", "rim_maximum", "disconnect_motor", "makers_data_first"}
	case form.Pack == nil:
		return []string{"makers_data_first"}
	}
	codes := []string{"short_circuit", "right_charger"}
	chemistry := pack.Chemistry(form.Pack.Chemistry)
	if chemistry.LeadAcid() {
		codes = append(codes, "acid", "hydrogen")
	} else {
		codes = append(codes, "lithium_fire", "lithium_not_as_charged", "lithium_transport")
	}
	if form.Pack.Strings > 1 {
		codes = append(codes, "strings_alike")
	}
	if _, above, err := pack.ChargingVoltage(chemistry, form.Pack.Cells*form.Pack.Blocks); err == nil && above {
		codes = append(codes, "above_60_v")
	}
	return append(codes, "makers_data_first")
}

// judgedConditions are the conditions as typed, with the rest that the readings
// were judged by.
func judgedConditions(i models.Inspection) models.Conditions {
	c := i.Conditions
	c.RestHours = kinds.JudgedRest(c.RestHours, i.Remarks)
	return c
}
