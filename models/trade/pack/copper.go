package pack

// CopperMohmMM2PerM is the resistance of a copper wire of 1 m and 1 mm2 at 20
// degrees, milliohm: 1.724e-8 ohm m (IEC 60028, quoted from memory). It rises
// by 0.39 % per K.
const CopperMohmMM2PerM = 17.24

// wireMohm gives the resistance, milliohm, of so much copper: rho L / A.
func wireMohm(lengthM, areaMM2 float64) float64 { return CopperMohmMM2PerM * lengthM / areaMM2 }

// maxJoints bounds the joints or contacts of one path.
const maxJoints = 10_000

// checkPath refuses a wire or joints that are none. A length or a joint of zero
// is a path without it.
func checkPath(lengthField string, lengthM, areaMM2 float64, jointsField string, joints int, jointField string, jointMohm float64) error {
	err := first(hours(lengthField, lengthM), positive("area_mm2", areaMM2), hours(jointField, jointMohm))
	if err == nil && (joints < 0 || joints > maxJoints) {
		err = fieldf(jointsField, "must lie between 0 and %d, not %d", maxJoints, joints)
	}
	return err
}
