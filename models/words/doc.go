// Package words is the message catalogue: it turns the codes and values that
// records, problems and certificates carry into sentences, and numbers and
// dates into the form that people read.
//
// Records say "too_few_readings" with {"want": "36", "got": "35"}; pages,
// paper and answers say "35 readings, 36 are needed." Nothing that is stored
// or hashed holds a sentence, so a sentence can be bettered, and a language
// added, without touching history.
//
// Sentences (problems, refusals, remarks) have plain codes: Say finds them as
// they stand in the record. Names of things (a result, a unit, a stage) could
// collide, "final" is a stage and could be a state, so each group has a
// prefix and a method: c.Stage("final") is c.Say("stage.final", nil).
// Sentences carry values in braces, "{got} readings"; every name that may
// stand there is described in placeholders.go.
//
// To add words: find the file of their subject (en_results.go,
// en_problems.go, ...), add a line. Pages are in English. Paper that leaves the
// shop may be in other languages: each is files of its tag (de.go, de_packing.go) with the words of
// every table in englishPaper, its decimal mark and its days; what it lacks is
// said in English, and a test names it. To add a language: such files, and its
// name in languages. A code without words is shown in brackets, "[code]", so that
// it is seen and found by a test, and nothing stops.
package words
