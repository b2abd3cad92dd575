// Package trace answers questions about one item: which item is meant by what
// somebody typed, and everything that is known about it.
//
// It believes that the person asking holds a wheel in one hand: a whole serial
// is read forgivingly, its last five characters are enough, and the number of
// a motor's or block's maker works as well. A wrong check character is said,
// never guessed around.
//
// Start with [Service.Find] for what was typed and [Service.Item] for the item.
// The package changes nothing.
package trace
