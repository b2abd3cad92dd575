package pack

// Gassing currents, mA per Ah of capacity, of lead-acid. EN 62485-2 and EN
// 62485-3, seen in secondary sources.
const (
	GassingFloat    = 1.0  // held at float voltage
	GassingBoost    = 8.0  // boost charge
	GassingTraction = 10.0 // valve-regulated traction, constant current then 2.4 V a cell
)

const (
	airFactor     = 0.05 // m3/h per A and cell: dilution to a fifth of the 4 % limit of hydrogen
	openingFactor = 28.0 // cm2 per m3/h, free opening at natural draught
	maxRoomCells  = 10_000
)

// AirFlow is the fresh air a charging place needs.
type AirFlow struct {
	M3PerHour  float64
	OpeningCM2 float64 // one inlet and one outlet of this free area each
}

// Ventilation gives the air flow that keeps hydrogen well under its lower limit
// of 4 %, and the free openings that natural draught needs for it:
//
//	Q = 0.05 n Igas C / 1000,  A = 28 Q
//
// n cells in the room, Igas in mA/Ah, C in Ah. Source: EN 62485-2 and EN
// 62485-3, seen in secondary sources. Nothing is charged in a sealed box,
// however small Q is. The maker's data, local codes and licensed practice come
// first (Cautions).
func Ventilation(cells int, gassingMAPerAh, capacityAh float64) (AirFlow, error) {
	err := first(positive("Igas_mA_per_Ah", gassingMAPerAh), positive("C_Ah", capacityAh))
	if err == nil && (cells < 1 || cells > maxRoomCells) {
		err = fieldf("cells", "must lie between 1 and %d, not %d", maxRoomCells, cells)
	}
	if err != nil {
		return AirFlow{}, err
	}
	q := airFactor * float64(cells) * gassingMAPerAh * capacityAh / 1000
	return AirFlow{M3PerHour: q, OpeningCM2: openingFactor * q}, computed(q, openingFactor*q)
}
