package wheel

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// Dish gives the offset of the rim toward side A from mid-way between the two
// axle shoulders, exactly: (d_B - d_A)/2, where d is the distance from the rim
// face of a side to the axle shoulder (locknut face) of the same side. The
// width of the rim cancels. Both distances in one unit, which is the unit of
// the answer. 12.40 and 11.20 give -0.60, toward side B. Source: geometry.
//
// A distance that was not given is ErrInput.
func Dish(shoulderA, shoulderB measure.Decimal) (offsetTowardA measure.Decimal, err error) {
	if err := given("shoulder_distance_A", shoulderA); err != nil {
		return measure.Decimal{}, err
	}
	if err := given("shoulder_distance_B", shoulderB); err != nil {
		return measure.Decimal{}, err
	}
	difference, err := shoulderB.Sub(shoulderA)
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("dish: %w", err)
	}
	return half(difference)
}

// DishFromFace gives the offset of a wheel whose dish is taken from one face
// (stub and one-sided axles): distance read minus the product's nominal
// distance, exactly. Source: geometry.
func DishFromFace(read, nominal measure.Decimal) (offset measure.Decimal, err error) {
	if err := given("face_distance", read); err != nil {
		return measure.Decimal{}, err
	}
	if err := given("nominal_distance", nominal); err != nil {
		return measure.Decimal{}, err
	}
	if offset, err = read.Sub(nominal); err != nil {
		return measure.Decimal{}, fmt.Errorf("dish: %w", err)
	}
	return offset, nil
}

// DishAbs gives the distance of an offset from its target, exactly:
// |offset - target|. The target is 0 unless the product is dished on purpose.
func DishAbs(offset, target measure.Decimal) (measure.Decimal, error) {
	difference, err := offset.Sub(target)
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("dish: %w", err)
	}
	return difference.Abs(), nil
}

// half halves exactly, with one digit more only where the last one is odd.
func half(d measure.Decimal) (measure.Decimal, error) {
	five, err := measure.Parse("0.5")
	if err != nil {
		return measure.Decimal{}, err
	}
	h, err := d.MulExact(five)
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("halve %v: %w", d, err)
	}
	if shorter := h.RoundTo(d.Decimals()); shorter.Equal(h) {
		return shorter, nil
	}
	return h, nil
}

// given refuses a value that was left out.
func given(field string, d measure.Decimal) error {
	if !d.Given() {
		return fieldf(field, "is missing")
	}
	return nil
}
