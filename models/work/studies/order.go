package studies

import (
	"math/rand/v2"

	"tracewright/models"
)

// anyone stands for the person of a turn that whoever takes part may read.
const anyone = -1

// orderOf is the order in which a study is read. Each repeat is a round, so that
// nobody reads an item twice in a row but where a round ends with what the next
// begins with. In a crossed study the persons of a round come in an order of
// chance and each reads every item once, in an order of chance of their own: one
// person can work through a round, and nobody knows which item it is by the place
// it has in the list. A reference over time has no order but time's.
func orderOf(design string, persons, items, repeats int, seed int64) []models.StudyTurn {
	chance := rand.New(rand.NewPCG(uint64(seed), 0))
	var turns []models.StudyTurn
	for repeat := 1; repeat <= repeats; repeat++ {
		who := []int{anyone}
		if design == models.StudyCrossed {
			who = chance.Perm(persons)
		}
		for _, person := range who {
			for _, item := range chance.Perm(items) {
				turns = append(turns, models.StudyTurn{Person: person, Item: item, Repeat: repeat})
			}
		}
	}
	return turns
}
