// Package verify holds a database against its trail.
//
// The chain and its checkpoints are walked along first (package trail), by keys
// that whoever verifies has brought. Then every record is encoded anew and held
// against the entry that speaks of it, in both directions: a record that was
// edited, one that is gone, and one that no entry speaks of are each named.
//
// What it says holds for what is sealed under a checkpoint. What is not sealed
// yet is only as safe as the database, and is counted.
package verify
