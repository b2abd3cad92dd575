package calc

import "tracewright/models/numbers/gauge"

// runoutNoiseKinds are what noise does to a total indicator reading.
var runoutNoiseKinds = []Kind{
	{
		Name:    "tir_noise_floor",
		Does:    "total indicator reading that noise alone shows on a perfect profile",
		Source:  "range distribution by quadrature (Tippett 1925): mean d2 sigma, standard deviation d3 sigma",
		Example: `{"points":36,"sigma":0.01}`,
		Run:     of(tirNoiseFloor),
	},
	{
		Name:    "tir_monte_carlo",
		Does:    "total indicator reading of a rim with noise at each point, by trials with a fixed seed",
		Source:  "JCGM 101:2008, 7; interval of 7.7",
		Example: `{"amplitude1":0.1,"amplitude2":0,"phase2":0,"points":36,"sigma":0.01,"trials_min":20000}`,
		Run:     of(tirMonteCarlo),
	},
}

type noiseFloorInput struct {
	Points int     `json:"points"`
	Sigma  float64 `json:"sigma"`
}

type noiseFloorAnswer struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`
	D2   float64 `json:"d2"`
	D3   float64 `json:"d3"`
}

func tirNoiseFloor(in noiseFloorInput) (noiseFloorAnswer, error) {
	f, err := gauge.TIRNoiseFloor(in.Points, in.Sigma)
	if err != nil {
		return noiseFloorAnswer{}, gaugeFailure("points", err, "noise", "sigma")
	}
	return noiseFloorAnswer{Mean: f.Mean, SD: f.SD, D2: f.D2, D3: f.D3}, nil
}

// usualSeed is that of trials when the input names none.
const usualSeed = 20260101

type tirInput struct {
	Amplitude1 float64 `json:"amplitude1"`
	Amplitude2 float64 `json:"amplitude2"`
	Phase2     float64 `json:"phase2"`
	Points     int     `json:"points"`
	Sigma      float64 `json:"sigma"`
	TrialsMin  int     `json:"trials_min"`
	Seed       *int64  `json:"seed,omitempty"`
}

type tirAnswer struct {
	TrueTIR float64 `json:"true_tir"`
	Mean    float64 `json:"mean"`
	SD      float64 `json:"sd"`
	Low     float64 `json:"p025"`
	High    float64 `json:"p975"`
	Trials  int     `json:"trials"`
	Seed    int64   `json:"seed"`
}

func tirMonteCarlo(in tirInput) (tirAnswer, error) {
	profile, err := gauge.HarmonicProfile(in.Points, in.Amplitude1, in.Amplitude2, in.Phase2)
	if err != nil {
		return tirAnswer{}, gaugeFailure("points", err)
	}
	seed := int64(usualSeed)
	if in.Seed != nil {
		seed = *in.Seed
	}
	s, err := gauge.SimulateTIR(profile, in.Sigma, in.TrialsMin, uint64(seed))
	if err != nil {
		return tirAnswer{}, gaugeFailure("points", err, "noise", "sigma", "trials", "trials_min", "profile", "amplitude1")
	}
	return tirAnswer{TrueTIR: s.True, Mean: s.Mean, SD: s.SD, Low: s.Low, High: s.High, Trials: s.Trials, Seed: seed}, nil
}
