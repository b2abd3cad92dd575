package wheel

// firstWeights are the weights of a newton beyond limits with which a short
// list is begun; each gives other nipples, and the best list that can be worked
// is kept. A light weight first looks at the shape, a heavy one first takes out
// tension.
func firstWeights() []float64 { return []float64{0.05, 1, overweight} }

// shortList gives turns of few nipples: one after another the nipple and number
// of steps that lower J most, all chosen ones adjusted again after each, and at
// the end each one exchanged for another where that is better. It stops at the
// wanted number, when nothing improves, or, unless the task wants it full, once
// the wheel is within the part of the limits that is aimed at. It is a touch-up:
// a rim off centre needs every spoke.
func (p *Plan) shortList(most int, weight float64) ([]float64, error) {
	l := p.newLattice(make([]int, len(p.pull)))
	l.weight = weight
	for count := 0; count < most; count++ {
		if !l.addBest() {
			break
		}
		l.descend()
		if p.task.Full {
			continue
		}
		s, err := p.Expect(l.turns())
		if err != nil {
			return nil, err
		}
		if l.over == 0 && s.Good(p.task.aimedAt()) {
			break
		}
	}
	l.weight = overweight
	l.only(l.turned())
	l.descend()
	l.exchange()
	return l.turns(), nil
}

// turned says which nipples are turned.
func (l *lattice) turned() []bool {
	list := make([]bool, len(l.steps))
	for i, s := range l.steps {
		list[i] = s != 0
	}
	return list
}

// only allows some nipples.
func (l *lattice) only(list []bool) { copy(l.allowed, list) }

// addBest turns one nipple more, by the number of steps that helps most, and
// allows it beside those that are turned. It says whether one helped.
func (l *lattice) addBest() bool {
	chosen := l.turned()
	for i := range l.allowed {
		l.allowed[i] = !chosen[i]
	}
	best, ok := l.better(func(try func(change)) {
		for i := range l.steps {
			for by := 1; by <= l.bound; by++ {
				try(change{first: i, by: by, second: -1})
				try(change{first: i, by: -by, second: -1})
			}
		}
	})
	if ok {
		l.apply(best)
		chosen[best.first] = true
	}
	l.only(chosen)
	return ok
}

// exchange leaves out one nipple after another for the best other one, as long
// as the list gets better by it.
func (l *lattice) exchange() {
	for improved := true; improved; {
		improved = false
		for i, s := range l.steps {
			if s == 0 {
				continue
			}
			before, steps := l.worth(), l.steps
			without := append([]int(nil), steps...)
			without[i] = 0
			l.stand(without)
			l.addBest()
			l.descend()
			if l.worth() < before-1e-9 {
				improved = true
				continue
			}
			l.stand(steps)
			l.only(l.turned())
		}
	}
}
