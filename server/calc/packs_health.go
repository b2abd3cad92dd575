package calc

import (
	"time"

	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// packHealthKinds are the calculations on the age, the health and the capacity
// of blocks.
var packHealthKinds = []Kind{
	{
		Name:    "block_age",
		Does:    "days since a block was made and charged, and every reason against building it in",
		Source:  "common practice, no source; equal to the limit passes",
		Example: `{"made":"2026-03-10","last_charge":"2026-09-01","today":"2026-11-25","max_age_days":365,"refresh_days":182}`,
		Run:     of(blockAge),
	},
	{
		Name:    "ir_ratio",
		Does:    "level of a block's resistance against its baseline",
		Source:  "IEEE 1188 asks for action at 30 to 50 %, quoted from memory; 20 % common practice; the limit itself is reached",
		Example: `{"R25_mohm":17.1,"baseline_mohm":14}`,
		Run:     of(irRatio),
	},
	{
		Name:    "delta_ocv",
		Does:    "loss of voltage between two readings, against a limit and by robust z within the lot",
		Source:  "Iglewicz and Hoaglin 1993, quoted from memory; limits common practice, no source",
		Example: `{"ocv1_V":[12.905,12.911,12.898,12.902],"ocv2_V":[12.896,12.903,12.858,12.893],"hours":168,"k_limit_mV_day":3,"z_limit":3.5,"resolution_mV":1}`,
		Run:     of(deltaOCV),
	},
	{
		Name:    "capacity_corrected",
		Does:    "capacity of a discharge at the reference temperature, and in % of the rated one",
		Source:  "IEC 60896-21 cl. 6.11, formula quoted from memory",
		Example: `{"I_A":0.6,"hours":19.5,"temp_C":17,"lambda_per_K":0.006,"T_ref_C":25,"C_rated_Ah":12}`,
		Run:     of(capacityCorrected),
	},
	{
		Name:    "peukert_fit",
		Does:    "exponent of discharge time against current, and the time and charge at another current",
		Source:  "Peukert 1897; least squares of ln t on ln I, textbook",
		Example: `{"I_A":[0.6,1.95,7.2],"hours":[20,5,1],"predict_I_A":3}`,
		Run:     of(peukertFit),
	},
	{
		Name:    "arrhenius_Ea",
		Does:    "activation energy of a rate that grows by a ratio between two temperatures",
		Source:  "Arrhenius's law",
		Example: `{"T1_C":25,"T2_C":35,"rate_ratio":2}`,
		Run:     of(activationEnergy),
	},
}

type ageInput struct {
	Made        string `json:"made"`
	LastCharge  string `json:"last_charge"`
	Today       string `json:"today"`
	MaxAgeDays  int    `json:"max_age_days"`
	RefreshDays int    `json:"refresh_days"`
}

type ageAnswer struct {
	AgeDays         int      `json:"age_days"`
	DaysSinceCharge int      `json:"days_since_charge"`
	Reasons         []string `json:"reasons"`
}

func blockAge(in ageInput) (ageAnswer, error) {
	var dates pack.Dates
	for _, d := range []struct {
		field, text string
		into        *time.Time
	}{{"made", in.Made, &dates.Made}, {"last_charge", in.LastCharge, &dates.LastCharge}, {"today", in.Today, &dates.Today}} {
		date, err := time.Parse(time.DateOnly, d.text)
		if err != nil {
			return ageAnswer{}, &Failure{Field: d.field, Problem: "must be a date such as 2026-09-01"}
		}
		*d.into = date
	}
	a, err := pack.BlockAge(dates, pack.AgeLimits{MaxAgeDays: in.MaxAgeDays, RefreshDays: in.RefreshDays})
	return ageAnswer{a.AgeDays, a.DaysSinceCharge, a.Reasons}, blame("input", err)
}

type irRatioInput struct {
	R25      measure.Decimal `json:"R25_mohm"`
	Baseline measure.Decimal `json:"baseline_mohm"`
}

type irRatioAnswer struct {
	Ratio float64 `json:"ratio"`
	Level string  `json:"level"`
}

func irRatio(in irRatioInput) (irRatioAnswer, error) {
	ratio, level, err := pack.ResistanceRatio(in.R25, in.Baseline, pack.DefaultRatioLimits())
	return irRatioAnswer{ratio, level}, blame("input", err)
}

type lossInput struct {
	First        []float64 `json:"ocv1_V"`
	Second       []float64 `json:"ocv2_V"`
	Hours        float64   `json:"hours"`
	KLimit       float64   `json:"k_limit_mV_day"`
	ZLimit       float64   `json:"z_limit"`
	ResolutionMV float64   `json:"resolution_mV"`
}

type lossAnswer struct {
	K         []float64 `json:"k_mV_day"`
	Step      float64   `json:"k_step_mV_day"`
	Median    float64   `json:"median"`
	MAD       float64   `json:"mad"`
	MADUsed   float64   `json:"mad_used"`
	Z         []float64 `json:"robust_z"`
	FlagLimit []int     `json:"flag_limit"`
	FlagZ     []int     `json:"flag_z"`
	Rising    []int     `json:"flag_rising"`
	TooSoon   bool      `json:"under_5_days"`
}

func deltaOCV(in lossInput) (lossAnswer, error) {
	l, err := pack.LossBetween(pack.Losses{
		First: in.First, Second: in.Second, Hours: in.Hours,
		ResolutionMV: in.ResolutionMV, RoundMV: 1, LimitMVDay: in.KLimit, LimitZ: in.ZLimit,
	})
	if err != nil {
		return lossAnswer{}, blame("ocv1_V, ocv2_V", err)
	}
	return lossAnswer{
		K: l.MVDay, Step: l.StepMVDay, Median: l.Median, MAD: l.MAD, MADUsed: l.MADUsed, Z: l.Z,
		FlagLimit: l.OverLimit, FlagZ: l.OverZ, Rising: l.Rising, TooSoon: l.TooSoon,
	}, nil
}

type capacityInput struct {
	Current float64 `json:"I_A"`
	Hours   float64 `json:"hours"`
	TempC   float64 `json:"temp_C"`
	Coef    float64 `json:"lambda_per_K"`
	RefC    float64 `json:"T_ref_C"`
	Rated   float64 `json:"C_rated_Ah"`
}

type capacityAnswer struct {
	Measured  float64 `json:"C_measured_Ah"`
	Corrected float64 `json:"Ca_Ah"`
	Pct       float64 `json:"pct_of_rated"`
	InRange   bool    `json:"temp_within_15_to_35_C"`
}

func capacityCorrected(in capacityInput) (capacityAnswer, error) {
	c, err := pack.Discharge{
		CurrentA: in.Current, Hours: in.Hours, TempC: in.TempC,
		CoefPerK: in.Coef, ReferenceC: in.RefC, RatedAh: in.Rated,
	}.Corrected()
	return capacityAnswer{c.MeasuredAh, c.CorrectedAh, c.PctOfRated, c.InRange}, blame("input", err)
}

type peukertInput struct {
	Current []float64 `json:"I_A"`
	Hours   []float64 `json:"hours"`
	Predict *float64  `json:"predict_I_A,omitempty"`
}

type peukertAnswer struct {
	K     float64  `json:"k"`
	Cp    float64  `json:"Cp"`
	RMS   float64  `json:"rms_ln_hours"`
	Hours *float64 `json:"predicted_hours,omitempty"`
	Ah    *float64 `json:"predicted_Ah,omitempty"`
}

func peukertFit(in peukertInput) (peukertAnswer, error) {
	fit, err := pack.FitPeukert(in.Current, in.Hours)
	if err != nil {
		return peukertAnswer{}, blame("I_A", err)
	}
	answer := peukertAnswer{K: fit.K, Cp: fit.Cp, RMS: fit.RMSLogHours}
	if in.Predict != nil {
		hours, ah, err := fit.Predict(*in.Predict)
		if err != nil {
			return peukertAnswer{}, blame("predict_I_A", err)
		}
		answer.Hours, answer.Ah = &hours, &ah
	}
	return answer, nil
}

type arrheniusInput struct {
	T1    float64 `json:"T1_C"`
	T2    float64 `json:"T2_C"`
	Ratio float64 `json:"rate_ratio"`
}

type arrheniusAnswer struct {
	Energy float64 `json:"Ea_kJ_mol"`
}

func activationEnergy(in arrheniusInput) (arrheniusAnswer, error) {
	energy, err := pack.ActivationEnergy(in.T1, in.T2, in.Ratio)
	return arrheniusAnswer{energy}, blame("input", err)
}
