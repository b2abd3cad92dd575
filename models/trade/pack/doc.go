// Package pack holds the arithmetic of battery blocks and of the strings made
// of them: open-circuit voltage and what it says about charge, resistance and
// its temperature, the gate a reading must pass, spread, grade, series sum,
// tap order, storage, age, loss between readings, capacity, leads, harness,
// insulation, ventilation, transport, and the choice of blocks for packs.
//
// What it believes. A voltage is an open-circuit voltage only after rest, off
// the charger, without load; so a reading passes the gate first and is judged
// after. Voltage tells charge, never health. Alternating-current and two-point
// resistance are different quantities and are never compared. Blocks are
// judged against their own pack. Raw values are kept; corrections to 25
// degrees stand beside them.
//
// Where to start. Gate says whether a reading counts; OCVTo25 and IRTo25
// correct it; SoC reads the charge from the table of a chemistry; Spread and
// ReadyToShip grade a pack; SeriesSum checks the pack against its blocks; Match
// chooses packs out of a measured stock.
//
// Numbers. Sums, differences and comparisons with limits of what was typed are
// exact decimals (Spread, ReadyToShip, SeriesSum, TapOrder). The rest is
// float64 with the unit in its name. Voltages are volts of a whole block
// unless a name says cell; a 12 V lead-acid block has 6 cells.
//
// What it refuses. Lithium has no default charge table: without the maker's the
// charge is not known, which is an error. The tables here are common practice
// or memory of published ones, versioned and editable; the maker's data sheet
// for the exact model comes first. Nothing here is permission to connect,
// charge or ship anything: answers about insulation, ventilation and transport
// carry the codes of what comes before them (Cautions).
package pack
