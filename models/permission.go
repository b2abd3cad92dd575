package models

// Act is something a route does; each route names one, and Permitted decides.
type Act string

// The acts.
const (
	ActLook         Act = "look"          // see items, charts, certificates
	ActPrint        Act = "print"         // labels and certificates, counted
	ActMeasure      Act = "measure"       // send inspections, checks and readings, correct one's own
	ActRecord       Act = "record"        // drafts, parts, matches, charges, causes: the rest of the work at a stand
	ActRaiseHold    Act = "raise_hold"    // anyone who sees a fault
	ActRelease      Act = "release"       // issue a certificate; an operator releases own work
	ActReceive      Act = "receive"       // lots, blocks, motors
	ActLiftHold     Act = "lift_hold"     // lift a hold with reason and code
	ActPack         Act = "pack"          // put items into kits
	ActShip         Act = "ship"          // shipments and orders
	ActCustomers    Act = "customers"     // see and change customers
	ActRecall       Act = "recall"        // call items back
	ActClaims       Act = "claims"        // open and decide claims
	ActConcede      Act = "concede"       // let something out against the gate
	ActDispose      Act = "dispose"       // decide what becomes of nonconforming work
	ActImprove      Act = "improve"       // corrective actions
	ActVoid         Act = "void"          // void a certificate
	ActPlace        Act = "place"         // settle an inspection that could not be placed
	ActCalibrate    Act = "calibrate"     // instruments
	ActSpecify      Act = "specify"       // families, products, specifications
	ActManagePeople Act = "manage_people" // people, devices, settings
	ActEnterPast    Act = "enter_past"    // build records from before the log, in other people's names
	ActOwnSecrets   Act = "own_secrets"   // set one's own password and PIN
)

// permitted is the one table of what each role may do. The owner may do all.
var permitted = map[Role]map[Act]bool{
	Operator: {ActLook: true, ActPrint: true, ActMeasure: true, ActRecord: true, ActRaiseHold: true, ActRelease: true, ActReceive: true, ActPack: true, ActOwnSecrets: true},
	Inspector: {ActLook: true, ActPrint: true, ActMeasure: true, ActRecord: true, ActRaiseHold: true, ActRelease: true, ActReceive: true, ActLiftHold: true, ActVoid: true, ActPlace: true, ActCalibrate: true,
		ActPack: true, ActShip: true, ActRecall: true, ActClaims: true, ActDispose: true, ActImprove: true, ActEnterPast: true, ActOwnSecrets: true},
	Desk: {ActLook: true, ActPrint: true, ActRaiseHold: true, ActPack: true, ActShip: true, ActCustomers: true, ActClaims: true, ActOwnSecrets: true},
	Owner: {ActLook: true, ActPrint: true, ActMeasure: true, ActRecord: true, ActRaiseHold: true, ActRelease: true, ActReceive: true, ActLiftHold: true, ActVoid: true, ActPlace: true, ActCalibrate: true,
		ActSpecify: true, ActManagePeople: true, ActPack: true, ActShip: true, ActCustomers: true, ActRecall: true, ActClaims: true, ActConcede: true, ActDispose: true, ActImprove: true, ActEnterPast: true,
		ActOwnSecrets: true},
}

// officeOnly are the acts that nobody may do at an enrolled device, whatever
// their role: there a person is chosen by one tap, which proves nothing.
var officeOnly = map[Act]bool{ActCustomers: true, ActSpecify: true, ActManagePeople: true, ActEnterPast: true, ActOwnSecrets: true}

// Acts lists every act in the order of the table's columns.
var Acts = []Act{ActLook, ActPrint, ActMeasure, ActRecord, ActRaiseHold, ActRelease, ActReceive, ActLiftHold, ActVoid, ActPlace, ActCalibrate, ActPack, ActShip, ActCustomers, ActRecall, ActClaims, ActConcede, ActDispose, ActImprove, ActSpecify, ActManagePeople, ActEnterPast, ActOwnSecrets}

// byProgram are the acts that a gauge's program does in somebody's name: it measures.
var byProgram = map[Act]bool{ActLook: true, ActMeasure: true}

// Permitted says whether a role may do an act; an unknown role may do nothing.
func Permitted(r Role, a Act) bool { return permitted[r][a] }

// OfficeOnly says whether an act needs a password session.
func OfficeOnly(a Act) bool { return officeOnly[a] }

// May says whether the actor may do an act where they are: by their role, and
// at an enrolled device only what is not kept for the office, and by a gauge's
// program only what measuring needs. Routes ask it, and pages that show or hide a
// link.
//
//go:noinline
func (a Actor) May(act Act) bool {
	return Permitted(a.Role, act) && (a.DeviceID == "" || !OfficeOnly(act)) && (!a.Program || byProgram[act])
}
