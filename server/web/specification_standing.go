package web

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/specify"
)

// standing are the characteristics that a revision chooses from, in the order
// of its form: those in force, then those that the kind of item knows beside
// them, so that what was dropped once can be asked for again.
func (o specificationOwner) standing() []models.Characteristic {
	list := slices.Clone(o.inForce.Characteristics)
	kind, ok := kinds.Named(o.family.Kind)
	if !ok {
		return list
	}
	grade := o.inForce.Grade
	if grade == specify.OwnGrade || !slices.Contains(kind.Grades, grade) {
		grade = kind.Grades[0]
	}
	known, err := kind.DefaultSpecification(grade, o.form)
	if err != nil {
		return list
	}
	for _, c := range known {
		if _, there := o.inForce.Characteristic(c.Code); !there {
			list = append(list, c)
		}
	}
	return list
}

var characteristicAt = regexp.MustCompile(`^characteristics\[(\d+)\]`)

// atForm turns the places of problems in what was sent, where a dropped
// characteristic leaves no gap, into their places in the form.
func (o specificationOwner) atForm(problem error, sent models.Specification) error {
	var invalid *models.InvalidError
	if !errors.As(problem, &invalid) {
		return problem
	}
	standing := o.standing()
	out := &models.InvalidError{Problems: slices.Clone(invalid.Problems)}
	for i := range out.Problems {
		p := &out.Problems[i]
		found := characteristicAt.FindStringSubmatch(p.Field)
		if found == nil {
			continue
		}
		k, err := strconv.Atoi(found[1])
		if err != nil || k >= len(sent.Characteristics) {
			continue
		}
		at := slices.IndexFunc(standing, func(c models.Characteristic) bool { return c.Code == sent.Characteristics[k].Code })
		p.Field = fmt.Sprintf("characteristics[%d]%s", at, p.Field[len(found[0]):])
	}
	return out
}
