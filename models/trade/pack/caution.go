package pack

// Codes that stand on every answer about safety. What is computed here is
// arithmetic and a reminder of published rules; it permits nothing.
const (
	MakerDataFirst        = "maker_data_first"        // the data sheet of the exact model
	LocalCodesFirst       = "local_codes_first"       // building, fire and electrical codes where the work is done
	LicensedPracticeFirst = "licensed_practice_first" // work that the law leaves to licensed people
	CarrierConfirmsFirst  = "carrier_confirms_first"  // the carrier's and the authority's rules of this year
)

// Cautions gives the codes that stand on every answer about insulation and
// ventilation, in the order they are read.
func Cautions() []string {
	return []string{MakerDataFirst, LocalCodesFirst, LicensedPracticeFirst}
}

// TransportCautions gives those that stand on every answer about transport.
func TransportCautions() []string { return append(Cautions(), CarrierConfirmsFirst) }
