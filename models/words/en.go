package words

// englishGroups are the tables of English; each stands in a file of its
// subject.
var englishGroups = []group{
	{"kind.", enKinds},
	{"characteristic.", enCharacteristics},
	{"result.", enResults},
	{"stage.", enStages},
	{"method.", enMethods},
	{"manner.", enManners},
	{"verdict.", enVerdicts},
	{"reason.", enReasons},
	{"rule.", enRules},
	{"rule_in_words.", enRulesInWords},
	{"grade.", enGrades},
	{"state.", enStates},
	{"role.", enRoles},
	{"act.", enActs},
	{"part.", enParts},
	{"material.", enMaterials},
	{"instrument.", enInstruments},
	{"chemistry.", enChemistries},
	{"choice.", enChoices},
	{"defect.", enDefects},
	{"lift.", enLifts},
	{"caution.", enCautions},
	{"count.", enCounts},
	{"certificate.", enCertificate},
	{"figure.", enFigure},
	{"", enProblems},
	{"", enRefusals},
	{"", enRemarks},
	{"", enCapture},
	{"", enPeople},
	{"", enOffice},
	{"", enSignals},
	{"", enTurns},
	{"turns.", enTurnList},
	{"", enShelfProblems},
	{"", enShelfRefusals},
	{"", enShelfRemarks},
	{"", enGrammar},
}

// enGrammar holds what lists and shares are joined with, and how a clock
// differs.
var enGrammar = map[string]string{
	"share.of":    "{k} of {n}",
	"list.and":    "and",
	"span.ahead":  "{value} ahead",
	"span.behind": "{value} behind",
}

// enCounts holds numbers of things, "one" and "many" of each.
var enCounts = map[string]string{
	"reading.one":  "1 reading",
	"reading.many": "{n} readings",
	"spoke.one":    "1 spoke",
	"spoke.many":   "{n} spokes",
	"block.one":    "1 block",
	"block.many":   "{n} blocks",
	"hour.one":     "1 hour",
	"hour.many":    "{n} hours",
	"day.one":      "1 day",
	"day.many":     "{n} days",
	"string.one":   "1 string",
	"string.many":  "{n} strings",
	"wheel.one":    "1 wheel",
	"wheel.many":   "{n} wheels",
	"pack.one":     "1 pack",
	"pack.many":    "{n} packs",
	"limit.one":    "1 limit",
	"limit.many":   "{n} limits",
}
