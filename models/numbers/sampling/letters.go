package sampling

import "slices"

// Letter is a code letter of MIL-STD-105E: it stands for a sample size.
type Letter string

// Level is an inspection level: how large a sample a lot is worth. II is the
// usual one; S1 to S4 are for small samples where larger risks can be borne.
type Level string

// The levels of table I.
const (
	LevelS1  Level = "S1"
	LevelS2  Level = "S2"
	LevelS3  Level = "S3"
	LevelS4  Level = "S4"
	LevelI   Level = "I"
	LevelII  Level = "II"
	LevelIII Level = "III"
)

// levels are the columns of [codeLetters].
var levels = []Level{LevelS1, LevelS2, LevelS3, LevelS4, LevelI, LevelII, LevelIII}

// codeLetters is table I of MIL-STD-105E (1989, public domain): from this lot
// size on, the code letter by level.
var codeLetters = []struct {
	from    int
	letters string // A letter a column, in the order of levels.
}{
	{2, "AAAAAAB"},
	{9, "AAAAABC"},
	{16, "AABBBCD"},
	{26, "ABBCCDE"},
	{51, "BBCCCEF"},
	{91, "BBCDDFG"},
	{151, "BCDEEGH"},
	{281, "BCDEFHJ"},
	{501, "CCEFGJK"},
	{1201, "CDEGHKL"},
	{3201, "CDFGJLM"},
	{10001, "CDFHKMN"},
	{35001, "DEGJLNP"},
	{150001, "DEGJMPQ"},
	{500001, "DEHKNQR"},
}

// CodeLetter returns the code letter of a lot of at least 2 at a level, by
// table I of MIL-STD-105E; ISO 2859-1 has the same letters.
func CodeLetter(lot int, level Level) (Letter, error) {
	column := slices.Index(levels, level)
	if column < 0 {
		return "", refuse("level", shorten(string(level)), "must be one of S1, S2, S3, S4, I, II, III")
	}
	if err := checkWhole("lot", lot, codeLetters[0].from, MaxLot); err != nil {
		return "", err
	}
	row := len(codeLetters) - 1
	for lot < codeLetters[row].from {
		row--
	}
	return Letter(codeLetters[row].letters[column : column+1]), nil
}

// shorten quotes what somebody typed, at most 20 letters of it.
func shorten(text string) string {
	letters := []rune(text)
	if len(letters) > 20 {
		letters = append(letters[:20], '…')
	}
	return `"` + string(letters) + `"`
}
