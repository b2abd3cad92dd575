package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shelf"
	"tracewright/server/httpx"
)

// shelfRow is one pack or loose block.
type shelfRow struct {
	ID      string `json:"id"`
	Serial  string `json:"serial,omitempty"`
	Print   string `json:"print"`
	Kind    string `json:"kind"`
	Product string `json:"product"`

	Place         string   `json:"place,omitempty"`
	TemperatureC  float64  `json:"temperature_c"`
	Assumed       bool     `json:"temperature_assumed"` // that of the warmest place
	State         string   `json:"state"`
	ReadAt        *instant `json:"read_at,omitempty"`
	LowestV       float64  `json:"lowest_v,omitempty"` // of the lowest block at 25 degrees
	ChargePct     *float64 `json:"charge_pct,omitempty"`
	ChargeUnknown string   `json:"charge_unknown,omitempty"` // why charge_pct is not there
	LeastPct      float64  `json:"charge_least_pct"`
	ChargeBy      string   `json:"charge_by,omitempty"`
	ChargeBySet   string   `json:"charge_by_set_by,omitempty"`
	ReadyUntil    string   `json:"ready_until,omitempty"`
	TooLow        bool     `json:"too_low,omitempty"` // below the shipping limit when it was read
	Wanted        string   `json:"wanted,omitempty"`
	Order         string   `json:"order,omitempty"` // open order that it is kept for
	Due           string   `json:"due,omitempty"`
	DueSet        string   `json:"due_set_by,omitempty"`
	DaysLeft      *int     `json:"days_left,omitempty"`
	Out           int      `json:"out,omitempty"`
	Stopped       string   `json:"stopped,omitempty"` // why it does not go out
	Made          instant  `json:"made_at"`
	RestOpensAt   *instant `json:"rest_opens_at,omitempty"`
	RunningCharge string   `json:"running_charge,omitempty"` // id
	DischargedAt  *instant `json:"discharged_at,omitempty"`
}

func shelfRowOf(r *shelf.Row) shelfRow {
	out := shelfRow{ID: r.Item.ID, Print: words.Serial(r.Item.Name()), Kind: r.Item.Kind, Product: r.Product, Place: r.Place, TemperatureC: rounded(r.TempC, 1), Assumed: !r.TempKnown,
		State: string(r.State), LeastPct: r.SoCMin, Wanted: r.Wanted, Order: r.Order, Out: r.Out, Stopped: r.Stop, Made: instant(r.Made)}
	if r.Item.Serial != nil {
		out.Serial = *r.Item.Serial
	}
	if r.Reading != nil {
		at := instant(r.Reading.MeasuredAt)
		out.ReadAt, out.LowestV = &at, rounded(r.Reading.OCV25, 4)
	}
	if r.SoCPct != nil {
		pct := rounded(*r.SoCPct, 2)
		out.ChargePct = &pct
	}
	if r.State == shelf.Standing {
		out.ChargeUnknown, out.TooLow = r.SoCUnknown, r.TooLow
		out.ChargeBy, out.ChargeBySet = dayText(r.ChargeBy), r.GovernedBy
		out.ReadyUntil, out.Due, out.DueSet = dayText(r.ReadyUntil), dayText(r.Due), r.DueBy
		out.DaysLeft = &r.DaysLeft
	}
	if !r.Opens.IsZero() {
		at := instant(r.Opens)
		out.RestOpensAt = &at
	}
	if r.State == shelf.Charging {
		out.RunningCharge = r.Charge.ID
	}
	if r.State == shelf.Discharged {
		at := instant(r.Discharge.End.EndedAt)
		out.DischargedAt = &at
	}
	return out
}

func dayText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// rounded leaves away the digits of an estimate that mean nothing.
func rounded(x float64, decimals int) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'f', decimals, 64), 64)
	if err != nil {
		return x
	}
	return y
}

// laterShown is how many of those that are due later an answer holds.
const laterShown = 200

// shelf answers with everything that stands there.
func (a *api) shelf(c *gin.Context) error {
	look, err := a.services.Shelf.Look(c.Request.Context())
	if err != nil {
		return err
	}
	group := func(rows []*shelf.Row) []shelfRow {
		out := make([]shelfRow, len(rows))
		for i, r := range rows {
			out[i] = shelfRowOf(r)
		}
		return out
	}
	body := gin.H{"day": dayText(look.Day), "packs": look.Packs, "blocks": look.Blocks, "temperature_assumed": look.Assumed, "today": group(look.Today), "soon": group(look.Soon),
		"waiting": group(look.Waiting), "later": group(look.Later[:min(len(look.Later), laterShown)]), "later_count": len(look.Later)}
	if look.Next != nil {
		body["next"] = shelfRowOf(look.Next)
	}
	return answer(c, http.StatusOK, body)
}

// addShelfTemperature takes the temperature of a place from a person or a
// program.
func (a *api) addShelfTemperature(c *gin.Context) error {
	var in struct {
		Place string    `json:"place"`
		C     string    `json:"temperature_c"`
		At    time.Time `json:"at"` // left out: now
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Shelf.AddTemperature(c.Request.Context(), httpx.Actor(c), in.Place, in.C, in.At); err != nil {
		return err
	}
	return answer(c, http.StatusCreated, gin.H{"place": shelf.PlaceName(in.Place), "temperature_c": in.C})
}

// placeOnShelf says where an item stands.
func (a *api) placeOnShelf(c *gin.Context) error {
	var in struct {
		Place string    `json:"place"` // empty: not on the shelf any more
		Since time.Time `json:"since"` // left out: now
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Shelf.Place(c.Request.Context(), httpx.Actor(c), c.Param("item"), in.Place, in.Since); err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"place": shelf.PlaceName(in.Place)})
}

// wantItem says for which day an item is wanted.
func (a *api) wantItem(c *gin.Context) error {
	var in struct {
		Day string `json:"day"` // empty: not wanted for a day any more
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Shelf.WantFor(c.Request.Context(), httpx.Actor(c), c.Param("item"), in.Day); err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"day": in.Day})
}

// chargeShape is a charge with its end.
type chargeShape struct {
	ID         string   `json:"id"`
	Kind       string   `json:"kind"`
	Charger    string   `json:"charger,omitempty"`
	StartedAt  instant  `json:"started_at"`
	StartedBy  string   `json:"started_by"` // name
	EndedAt    *instant `json:"ended_at,omitempty"`
	EndedBy    string   `json:"ended_by,omitempty"` // name
	EndCurrent string   `json:"end_current_a,omitempty"`
}

func chargeOf(v models.ChargeView, names map[string]string) chargeShape {
	out := chargeShape{ID: v.ID, Kind: v.Kind, Charger: v.Charger, StartedAt: instant(v.StartedAt), StartedBy: names[v.StartedBy]}
	if v.End != nil {
		at := instant(v.End.EndedAt)
		out.EndedAt, out.EndedBy, out.EndCurrent = &at, names[v.End.EndedBy], v.End.EndCurrent
	}
	return out
}
