package calc

import (
	"time"

	"tracewright/models/trade/pack"
)

type selfDischargeInput struct {
	S25   float64 `json:"s25_pct_month"`
	TempC float64 `json:"temp_C"`
}

type selfDischargeAnswer struct {
	Rate float64 `json:"pct_month"`
}

func selfDischargeRate(in selfDischargeInput) (selfDischargeAnswer, error) {
	monthly, err := pack.SelfDischargeRate(in.S25, in.TempC)
	return selfDischargeAnswer{monthly}, blame("input", err)
}

type stayInput struct {
	TempC float64 `json:"temp_C"`
	Days  float64 `json:"days"`
}

type historyInput struct {
	SoC0     float64     `json:"soc0_pct"`
	S25      float64     `json:"s25_pct_month"`
	Segments []stayInput `json:"segments"`
}

type historyAnswer struct {
	Loss float64 `json:"loss_pct"`
	SoC  float64 `json:"soc_pct"`
}

func storageHistory(in historyInput) (historyAnswer, error) {
	stays := make([]pack.Segment, len(in.Segments))
	for i, s := range in.Segments {
		stays[i] = pack.Segment(s)
	}
	loss, soc, err := pack.Stored(in.SoC0, in.S25, stays)
	return historyAnswer{loss, soc}, blame("input", err)
}

type refreshInput struct {
	Measured   string         `json:"measured"`
	OCV25      float64        `json:"ocv25_V"`
	Chemistry  pack.Chemistry `json:"chemistry"`
	Cells      int            `json:"cells"`
	TempC      float64        `json:"storage_temp_C"`
	S25        float64        `json:"s25_pct_month"`
	SoCMin     float64        `json:"soc_min_pct"`
	BaseMonths float64        `json:"base_months"`
	BaseTempC  float64        `json:"base_temp_C"`
	CapMonths  float64        `json:"cap_months"`
	MonthDays  float64        `json:"month_days"`
}

type refreshAnswer struct {
	Rate           float64 `json:"rate_pct_per_month"`
	SoC0           float64 `json:"soc0_pct"`
	DaysBySoC      int     `json:"days_by_soc"`
	DaysByCalendar int     `json:"days_by_calendar"`
	Due            string  `json:"due"`
	GovernedBy     string  `json:"governed_by"`
}

func refreshDue(in refreshInput) (refreshAnswer, error) {
	measured, err := time.Parse(time.DateOnly, in.Measured)
	if err != nil {
		return refreshAnswer{}, &Failure{Field: "measured", Problem: "must be a date such as 2026-09-01"}
	}
	soc0, err := pack.SoC(in.Chemistry, in.OCV25, in.Cells)
	if err != nil {
		return refreshAnswer{}, blame("chemistry", err)
	}
	r, err := pack.RefreshDue(measured, pack.Shelf{
		SoC0Pct: soc0, SoCMinPct: in.SoCMin, S25: in.S25, TempC: in.TempC,
		BaseMonths: in.BaseMonths, BaseTempC: in.BaseTempC, CapMonths: in.CapMonths, MonthDays: in.MonthDays,
	})
	if err != nil {
		return refreshAnswer{}, blame("input", err)
	}
	return refreshAnswer{
		Rate: r.RatePctMonth, SoC0: soc0, DaysBySoC: r.DaysBySoC, DaysByCalendar: r.DaysByCalendar,
		Due: r.Due.Format(time.DateOnly), GovernedBy: r.GovernedBy,
	}, nil
}
