package webtest

import (
	"testing"
	"time"

	"tracewright/models"
)

// Nobody has entered a dial gauge yet: it is said before the first reading, what is
// read waits, and goes as soon as there is one, without a reading taken again.
func TestAWheelWithoutADialGauge(t *testing.T) {
	p := sitDown(t, 1024, 768)
	gauges := p.Shop.App.Services.Gauges
	stand := func(state string) {
		all, err := gauges.Instruments(t.Context())
		p.Shop.Must(err)
		for _, i := range all {
			if i.Instrument.Kind != "dial" {
				continue
			}
			from, err := models.Digest(i.Instrument)
			p.Shop.Must(err)
			i.Instrument.State = state
			_, err = gauges.Update(t.Context(), p.Shop.Shop.Owner, i.Instrument.Code, from, i.Instrument)
			p.Shop.Must(err)
		}
	}
	stand(models.InstrumentRetired)
	p.signIn()
	p.toStand(p.Shop.Serial[models.KindWheel])
	p.sees("#last", "No dial gauge is in use")
	p.picture("before")
	p.types(goodWheel...)
	p.sees("#ask", "Ticked list")
	time.Sleep(bounce)
	p.touches("Yes to the rest")
	p.sees("#last", "No dial gauge is in use: the owner or an inspector adds one under Instruments; what you read waits here.")
	p.sees("#ask", "Everything is read")
	p.picture("kept")
	stand(models.InstrumentInUse)
	time.Sleep(bounce)
	p.touches("Send")
	p.sees("#last", "Passes")
	stored, err := p.Shop.Store.InspectionsOf(t.Context(), p.Shop.Item[models.KindWheel].ID)
	p.Shop.Must(err)
	if len(stored) != 1 || stored[0].Verdict != models.VerdictPass {
		t.Fatalf("stored: %+v, want one inspection that passes", stored)
	}
}
