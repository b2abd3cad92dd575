package words

import "slices"

// englishLanguage has every word; other languages have those of englishPaper.
var englishLanguage = language{tag: "en", name: "English", writes: writing{mark: ".", day: "2 Jan 2006", lowers: true}, groups: slices.Concat(englishPaper, englishPages)}

// englishPaper are the tables that a certificate is printed from, and its page
// for strangers: what the file of another language has all of. Each stands in a
// file of its subject.
var englishPaper = []group{
	{"kind.", enKinds},
	{"characteristic.", enCharacteristics},
	{"result.", enResults},
	{"stage.", enStages},
	{"method.", enMethods},
	{"manner.", enManners},
	{"verdict.", enVerdicts},
	{"reason.", enReasons},
	{"rule_in_words.", enRulesInWords},
	{"grade.", enGrades},
	{"doubt.", enDoubts},
	{"role.", enRoles},
	{"part.", enParts},
	{"chemistry.", enChemistries},
	{"choice.", enChoices},
	{"caution.", enCautions},
	{"count.", enCounts},
	{"certificate.", enCertificate},
	{"public.", enPublic},
	{"figure.", enFigure},
	{"", enRemarks},
	{"", enShelfRemarks},
	{"", enGrammar},
}

// englishPages are the tables of pages, answers and the papers of the shop
// itself, which are in English alone.
var englishPages = []group{
	{"rule.", enRules},
	{"limit.", enLimitNames},
	{"origin.", enOrigins},
	{"disposition.", enDispositions},
	{"match.", enMatchReasons},
	{"state.", enStates},
	{"act.", enActs},
	{"lot.", enLotStates},
	{"plan.", enPlanKinds},
	{"check.", enCheckVerdicts},
	{"instrument.", enInstruments},
	{"defect.", enDefects},
	{"lift.", enLifts},
	{"removal.", enRemovals},
	{"fate.", enFates},
	{"step.", enSteps},
	{"kinds.", enKindsOf},
	{"packing.", enPacking},
	{"label.", enLabels},
	{"claim.", enClaimStates},
	{"decision.", enDecisions},
	{"symptom.", enSymptoms},
	{"question.", enQuestions},
	{"label_size.", enLabelSizes},
	{"symbol.", enSymbols},
	{"change.", enChanges},
	{"change_note.", enChangeNotes},
	{"setting.", enSettings},
	{"", enProblems},
	{"", enRefusals},
	{"", enCapture},
	{"", enPeople},
	{"", enOffice},
	{"", enSignals},
	{"", enTurns},
	{"turns.", enTurnList},
	{"", enShelfProblems},
	{"", enShelfRefusals},
	{"", enAssembly},
	{"", enShipping},
	{"", enRecall},
	{"response.", enResponses},
	{"", enGauges},
	{"", enGaugeRemarks},
	{"gauge_check.", enGaugeChecks},
	{"trace.", enTraceEffects},
	{"trace_reason.", enTraceReasons},
	{"", enClaims},
	{"", enBlocks},
	{"", enBlockRemarks},
	{"", enNotOffered},
	{"", enBlockRefusals},
	{"", enGoods},
	{"", enGoodsRefusals},
	{"", enLabelRefusals},
	{"", enScans},
	{"", enListProblems},
	{"", enListRemarks},
	{"list.", enLists},
	{"list_says.", enListSays},
	{"column.", enColumns},
	{"element.", enElements},
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
