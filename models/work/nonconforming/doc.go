// Package nonconforming keeps work that does not conform: it is opened, something
// is decided about it, that is carried out, and each of it is a step with its time
// and person. Where the item stands meanwhile is said by package flow.
//
// Nothing is forced on a shop of one: whoever decides may also approve and confirm,
// unless the shop wants another person for it.
package nonconforming
