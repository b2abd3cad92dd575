package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
)

// blockForm is a block model as the interface takes it.
func blockForm() object {
	return object{"block": object{"supplier": "Halden", "model": "12-12", "chemistry": "agm", "cells": 6, "capacity_ah": "12", "rate": "C20", "resistance_method": "ac_1khz", "date_code": "yyww",
		"limits": object{"incoming_ocv_min_v": "12,60"}, "voltage_table": []any{object{"volts": "11.80", "percent": "0"}, object{"volts": "12,90", "percent": "100"}}}}
}

// blocks is the part of the walk through the interface that blocks answer.
func (w *walk) blocks() {
	w.T.Helper()
	family := w.ask(Owner, "POST /families", "/families", object{"kind": "block", "name": "Blocks"}, http.StatusCreated)
	model := w.ask(Owner, "POST /products", "/products", object{"family": text(w, family, "family", "id"), "name": "Halden 12-12", "form": blockForm()}, http.StatusCreated)
	id := text(w, model, "product", "id")
	w.ask(Desk, "GET /products/{id}", "/products/"+id, nil, http.StatusOK)
	w.ask(Operator, "POST /lots", "/lots", object{"code": "BL-0031", "material": "blocks", "quantity": 24, "date_code": "3112"}, http.StatusCreated)
	sent := object{"model": id, "lot": "BL-0031", "stage": "incoming", "measured_at": "2031-05-12T11:00:00Z", "rest_hours": "72", "temperature_c": "22.5", "method": "ac_1khz", "case_sound": "yes",
		"gauges": object{"voltage": "V-1", "resistance": "R-1", "temperature": "H-1"},
		"rows":   []any{object{"id": models.NewID(), "number": "H12-1", "voltage": "12,842", "resistance": "14.2"}, object{"id": models.NewID(), "count": 2}}}
	w.ask(OperatorAtStand, "POST /blocks/readings", "/blocks/readings", sent, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /blocks/readings", "/blocks/readings", sent, http.StatusOK)
	w.ask(Desk, "GET /blocks", "/blocks?model="+id+"&lot=BL-0031", nil, http.StatusOK)
	w.ask(Desk, "GET /blocks/lots/{lot}", "/blocks/lots/BL-0031", nil, http.StatusOK)
	w.ask(Operator, "POST /blocks/set-aside", "/blocks/set-aside", object{"blocks": []any{"H12-1"}, "code": "loses_charge", "reason": "6.4 mV a day"}, http.StatusCreated)
	w.ask(Desk, "GET /blocks", "/blocks?model="+id, nil, http.StatusOK)
	w.ask(Operator, "POST /blocks/set-aside", "/blocks/set-aside", object{"blocks": []any{"H12-1"}, "code": "damaged"}, http.StatusConflict)
	release := object{"blocks": []any{"H12-1"}, "code": "measured_again", "reason": "it held"}
	w.ask(InspectorAtStand, "POST /blocks/release", "/blocks/release", release, http.StatusUnprocessableEntity) // nothing confirms it
	release["confirm"] = object{"pin": PIN}
	w.ask(InspectorAtStand, "POST /blocks/release", "/blocks/release", release, http.StatusCreated)
	w.ask(Desk, "GET /blocks/{block}/decisions", "/blocks/H12-1/decisions", nil, http.StatusOK)
	w.ask(Desk, "GET /blocks/{block}/decisions", "/blocks/H12-9/decisions", nil, http.StatusNotFound)
	w.matches(id, sent)
	sent["temperature_c"] = "77"
	w.ask(OperatorAtStand, "POST /blocks/readings", "/blocks/readings", sent, http.StatusUnprocessableEntity)
	sent["temperature_c"] = "23"
	w.ask(OperatorAtStand, "POST /blocks/readings", "/blocks/readings", sent, http.StatusConflict)
}

// matches is the part of the walk that matching answers: packs of two blocks,
// proposed, confirmed and kept; picked by hand; dropped.
func (w *walk) matches(model string, first object) {
	w.T.Helper()
	more := object{}
	for k, v := range first {
		more[k] = v
	}
	more["rows"] = []any{object{"id": models.NewID(), "number": "H12-5", "voltage": "12,850", "resistance": "14.4"}, object{"id": models.NewID(), "number": "H12-6", "voltage": "12,870", "resistance": "14.0"}, object{"id": models.NewID(), "number": "H12-7", "voltage": "12,874", "resistance": "14.1"}}
	w.ask(OperatorAtStand, "POST /blocks/readings", "/blocks/readings", more, http.StatusCreated)
	form := object{"pack": object{"block_product": model, "strings": 1, "blocks": 2, "nominal_v": "24"}}
	packs := w.ask(Owner, "POST /products", "/products", object{"family": *w.Item[models.KindPack].FamilyID, "name": "24 V of two", "form": form}, http.StatusCreated)
	product := text(w, packs, "product", "id")
	w.ask(Operator, "POST /matches/spread", "/matches/spread", object{"product": product, "picked": []any{"H12-1", "H12-5"}}, http.StatusOK)
	w.ask(Operator, "POST /matches", "/matches", object{"product": product, "count": 5}, http.StatusConflict)
	w.ask(Operator, "POST /matches", "/matches", object{"product": product, "least": "beauty"}, http.StatusUnprocessableEntity)
	made := w.ask(Operator, "POST /matches", "/matches", object{"product": product, "lot": "BL-0031", "count": 1}, http.StatusCreated)
	path := "/matches/" + text(w, made, "id")
	w.ask(Desk, "GET /matches", "/matches", nil, http.StatusOK)
	w.ask(Operator, "POST /matches/{id}/placements", path+"/placements", object{"block": "H12-404"}, http.StatusUnprocessableEntity)
	w.ask(Operator, "POST /matches/{id}/keep", path+"/keep", nil, http.StatusConflict)
	for range 2 {
		block := text(w, made, "next", "block", "number")
		made = w.ask(OperatorAtStand, "POST /matches/{id}/placements", path+"/placements", object{"block": block}, http.StatusOK)
		if known := w.ask(Desk, "GET /blocks/{block}/decisions", "/blocks/"+block+"/decisions", nil, http.StatusOK); known["match"] != made["id"] || known["rest_v"] == nil {
			w.T.Errorf("block %s in its place: %v", block, known)
		}
	}
	w.ask(OperatorAtStand, "POST /matches/{id}/keep", path+"/keep", nil, http.StatusOK)
	w.ask(Desk, "GET /matches/{id}", path, nil, http.StatusOK)
	w.ask(Desk, "GET /matches/{id}", "/matches/"+models.NewID(), nil, http.StatusNotFound)
	stock := w.ask(Desk, "GET /blocks", "/blocks?model="+model, nil, http.StatusOK)
	var offered []any
	for _, b := range stock["blocks"].([]any) {
		if b := b.(object); b["offered"] == true {
			offered = append(offered, b["id"])
		}
	}
	picked := w.ask(Operator, "POST /matches/picked", "/matches/picked", object{"product": product, "packs": []any{offered}, "in_place": true}, http.StatusCreated)
	path = "/matches/" + text(w, picked, "id")
	w.ask(Operator, "POST /matches/{id}/drop", path+"/drop", object{"reason": ""}, http.StatusUnprocessableEntity)
	w.ask(Operator, "POST /matches/{id}/drop", path+"/drop", object{"reason": "the order fell through"}, http.StatusOK)
}

// blockModel adds the family and the product of a block model.
func (s *Shop) blockModel(t *testing.T) models.Product {
	t.Helper()
	family, err := s.App.Services.Specify.AddFamily(t.Context(), s.Shop.Owner, specify.NewFamily{Kind: models.KindBlock, Name: "Blocks"})
	s.Must(err)
	v, err := s.App.Services.Specify.AddProduct(t.Context(), s.Shop.Owner, specify.NewProduct{FamilyID: family.Family.ID, Name: "Halden 12-12", Form: models.ProductForm{Block: &models.BlockForm{
		Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12", Rate: "C20", ResistanceMethod: models.ResistanceAC, DateCode: models.DateYearWeek}}})
	s.Must(err)
	return v.Product
}

// packOfTwo is a pack of two blocks of a model.
func packOfTwo(family, model string) specify.NewProduct {
	return specify.NewProduct{FamilyID: family, Name: "24 V of two", Form: models.ProductForm{Pack: &models.PackForm{BlockProduct: model, Strings: 1, Blocks: 2, NominalV: "24"}}}
}

// Blocks come in by the interface, each field with its word; one is fitted in a
// pack and cannot go into a second.
func TestBlocksByTheInterface(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		model := s.blockModel(t)
		row := func(number, volts, milliohm string) object {
			return object{"id": models.NewID(), "number": number, "voltage": volts, "resistance": milliohm}
		}
		list := func(change object, rows ...any) object {
			sent := object{"model": model.ID, "stage": "incoming", "measured_at": "2031-05-12T11:00:00Z", "rest_hours": "72", "temperature_c": "22.5", "method": "ac_1khz",
				"gauges": object{"voltage": "V-1", "resistance": "R-1", "temperature": "H-1"}, "rows": rows}
			for k, v := range change {
				sent[k] = v
			}
			return sent
		}
		const path = "/api/v1/blocks/readings"
		pack := s.Item[models.KindPack]
		other, err := s.Store.AddItemWithSerial(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Item{Kind: models.KindPack, FamilyID: pack.FamilyID, ProductID: pack.ProductID, Origin: "made"}, "P", 31, nil)
		s.Must(err)
		first, second := s.Shop.Pack(), s.Shop.Pack()
		first.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "H12-1", Supplier: "Halden", Model: "12-12"}}
		second.Serial = *other.Serial
		second.Parts = first.Parts
		twice := s.Shop.Pack()
		twice.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "H12-2"}, {Role: "block", Place: "1.2", Number: "H12-2"}}
		misplaced := s.Shop.Pack()
		misplaced.Serial = *other.Serial
		misplaced.Parts = []models.SentPart{{Role: "block", Place: "1.2", Number: "H12-2"}, {Role: "block", Place: "1.2", Number: "H12-5"}, {Role: "block", Place: "7.1", Number: "H12-6"}}
		aside := s.Shop.Pack()
		aside.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "H12-4"}}
		byNumber := models.Submission{ID: models.NewID(), Part: models.PartName{Number: "H12-2"}, Stage: models.SecondReading, StartedAt: s.Now.Add(-3e9), FinishedAt: s.Now.Add(-2e9), Conditions: models.Conditions{RestHours: "96"},
			Sets: []models.SentSet{{Characteristic: "block_voltage", Method: models.Whole, Instrument: "V-1", Unit: "V", Values: []string{"12.84"}},
				{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-1", Values: []string{"22"}}}}
		both, unknown := byNumber, byNumber
		both.ID, both.Serial = models.NewID(), s.Serial[models.KindPack]
		unknown.ID, unknown.Part = models.NewID(), models.PartName{Number: "nobody's"}
		s.Run(t, []Row{
			{Name: "come in", Who: OperatorAtStand, Path: path, Body: list(nil, row("H12-1", "12.88", "14.2"), row("H12-2", "12,87", "14,0")), Status: http.StatusCreated, Has: []string{`"verdict":"pass"`, `"number":"H12-1"`, `"set_aside":false`}},
			{Name: "the desk takes nothing in", Who: Desk, Path: path, Body: list(nil, row("H12-9", "12.88", "14.2")), Status: http.StatusForbidden},
			{Name: "a milliohm that is an ohm", Who: OperatorAtStand, Path: path, Body: list(nil, row("H12-3", "12.88", "0.0142")), Status: http.StatusUnprocessableEntity,
				Has: []string{`"field":"rows[0].resistance"`, "read as Ω it would be 14.2\u00a0mΩ", "6\u00a0mΩ to 30\u00a0mΩ"}},
			{Name: "Fahrenheit", Who: OperatorAtStand, Path: path, Body: list(object{"temperature_c": "77"}, row("H12-3", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{"rows[0].temperature_c", "not Fahrenheit?"}},
			{Name: "no temperature", Who: OperatorAtStand, Path: path, Body: list(object{"temperature_c": ""}, row("H12-3", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{"rows[0].temperature_c", "The temperature is needed"}},
			{Name: "a date to come", Who: OperatorAtStand, Path: path, Body: list(object{"date_code": "3130"}, row("H12-3", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{"rows[0].date_code", "in the future"}},
			{Name: "two ways", Who: OperatorAtStand, Path: path, Body: list(object{"method": "dc_two_point"}, row("H12-3", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{"rows[0].method", "never mixed"}},
			{Name: "here already", Who: OperatorAtStand, Path: path, Body: list(nil, row("H12-2", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{"rows[0].number", "came in already"}},
			{Name: "an unknown field", Who: OperatorAtStand, Path: path, Body: list(object{"colour": "red"}, row("H12-3", "12.88", "14.2")), Status: http.StatusUnprocessableEntity},
			{Name: "a reversed block stays reversed", Who: OperatorAtStand, Path: path, Body: list(nil, row("H12-4", "-12.88", "14.2")), Status: http.StatusCreated, Has: []string{`"verdict":"fail"`}},
			{Name: "set aside", Who: OperatorAtStand, Path: "/api/v1/blocks/set-aside", Body: object{"blocks": []any{"H12-4"}, "code": "damaged"}, Status: http.StatusCreated},
			{Name: "set aside, it is refused at the bench", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: aside, Status: http.StatusUnprocessableEntity, Has: []string{"parts[0].number", "goes into no pack until it is released"}},
			{Name: "fitted", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: first, Status: http.StatusCreated},
			{Name: "fitted in another too", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: second, Status: http.StatusUnprocessableEntity, Has: []string{"parts[0].number", "already"}},
			{Name: "fitted twice in one", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: twice, Status: http.StatusUnprocessableEntity, Has: []string{"parts[1].number", "named twice"}},
			{Name: "two more", Who: OperatorAtStand, Path: path, Body: list(nil, row("H12-5", "12.88", "14.3"), row("H12-6", "12.87", "14.1")), Status: http.StatusCreated},
			{Name: "two at one place, and one at none", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: misplaced, Status: http.StatusUnprocessableEntity,
				Has: []string{`"field":"parts[1].place"`, "Two blocks are recorded at place 1.2", `"field":"parts[2].place"`, "no place 7.1"}},
			{Name: "measured before they came", Who: OperatorAtStand, Path: path, Body: list(object{"measured_at": "1990-05-12T11:00:00Z"}, row("H12-7", "12.88", "14.2")), Status: http.StatusUnprocessableEntity, Has: []string{`"field":"measured_at"`, "cannot be right"}},
			{Name: "measured by its number", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: byNumber, Status: http.StatusCreated, Has: []string{`"stage":"second_reading"`}},
			{Name: "a serial and a number", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: both, Status: http.StatusUnprocessableEntity, Has: []string{`"field":"part"`}},
			{Name: "an unknown number is kept", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: unknown, Status: http.StatusAccepted, Has: []string{"No part has the number nobody's"}},
		})
	})
}

// Numbers are unique per supplier and model: where two makers share one, the
// model is asked for.
func TestANumberThatTwoMakersHave(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		model := s.blockModel(t)
		stamp := models.NewStamp(s.Shop.Owner, s.Now)
		for _, maker := range []string{"Halden", "Aare"} {
			number := "0007"
			_, err := s.Store.AddItem(t.Context(), stamp, models.Item{Kind: models.KindBlock, Supplier: maker, Model: "12-12", MakerNumber: &number, FamilyID: &model.FamilyID, ProductID: &model.ID, Origin: "received"}, nil)
			s.Must(err)
		}
		sub := models.Submission{Part: models.PartName{Number: "0007"}, Stage: models.Incoming, StartedAt: s.Now.Add(-3e9), FinishedAt: s.Now.Add(-2e9), Conditions: models.Conditions{RestHours: "96"},
			Sets: []models.SentSet{{Characteristic: "block_voltage", Method: models.Whole, Instrument: "V-1", Unit: "V", Values: []string{"12.84"}},
				{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-1", Values: []string{"22"}}}}
		sub.ID = models.NewID()
		exact := sub
		exact.ID, exact.Part = models.NewID(), models.PartName{Number: "0007", Supplier: "Aare", Model: "12-12"}
		s.Run(t, []Row{
			{Name: "the number alone", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusUnprocessableEntity, Has: []string{"part.number", "More than one part"}},
			{Name: "with its maker", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: exact, Status: http.StatusCreated, Has: []string{"Aare"}},
		})
	})
}
