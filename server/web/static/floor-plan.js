// The plan of an inspection as the office sends it, brought into the shape the
// floor pages use: names in one manner, nothing missing.

const list = (x) => (Array.isArray(x) ? x : []);

/** readPlan reads the answer of GET /api/v1/plans/{serial}. */
export function readPlan(json) {
  const spec = json.specification ?? {};
  const form = json.form?.wheel ?? json.form?.pack ?? {};
  return {
    serial: json.serial ?? '',
    print: json.print || json.serial || '',
    source: json.source ?? 'item',
    item: json.item ?? null,
    kind: json.family?.kind ?? json.item?.kind ?? '',
    family: json.family?.name ?? '',
    product: json.product?.id ? json.product : null,
    form,
    specification: {
      grade: spec.grade ?? '',
      revision: spec.revision ?? 0,
      rule: spec.rule || 'simple',
      guardFactor: spec.guard_factor || '1',
      characteristics: list(spec.characteristics).map(characteristic),
    },
    stage: json.stage ?? '',
    stages: list(json.stages),
    instruments: list(json.instruments).map(instrument),
    products: list(json.products),
    holds: list(json.holds),
    standing: list(json.standing),
    openTurns: json.open_turns ?? '',
    draft: json.open_draft?.id ? json.open_draft : null,
    parts: list(json.parts),
    build: json.build ?? null, // how a pack is being built: bench-work.js
  };
}

function characteristic(c) {
  return {
    code: c.code,
    form: c.form,
    unit: c.unit ?? '',
    units: list(c.units).length ? c.units : c.unit ? [c.unit] : [],
    methods: list(c.methods),
    instrument: c.instrument ?? '',
    hundredths: Boolean(c.hundredths),
    sample: list(c.sample),
    results: list(c.results),
  };
}

function instrument(i) {
  return {
    code: i.code,
    kind: i.kind ?? '',
    name: i.name ?? '',
    place: i.place ?? '',
    unit: i.unit ?? '',
    rangeLow: i.range_low ?? '',
    rangeHigh: i.range_high ?? '',
    resolution: i.resolution ?? '',
    uncertainty: i.uncertainty ?? '',
    dueOn: i.due_on ?? '',
    overdue: Boolean(i.overdue),
    outNote: i.out_note ?? '',
    checks: i.checks ?? '',
    table: list(i.table),
  };
}

/** characteristicOf finds one by its code; undefined when the plan has none. */
export const characteristicOf = (plan, code) => plan.specification.characteristics.find((c) => c.code === code);

/** limitOf finds what the specification asks of a result; null when nothing. */
export function limitOf(plan, result) {
  for (const c of plan.specification.characteristics) {
    for (const l of c.results) if (l.result === result) return l;
  }
  return null;
}

/** ticksOf lists the ticked points in their order. */
export const ticksOf = (plan) => plan.specification.characteristics.filter((c) => c.form === 'ticked');

/** instrumentsFor lists what a characteristic may be read with, this place's first. */
export const instrumentsFor = (plan, code) => {
  const kind = characteristicOf(plan, code)?.instrument;
  return kind ? plan.instruments.filter((i) => i.kind === kind) : [];
};

/** instrumentOf is the one in use for a characteristic: chosen, or the first. */
export function instrumentOf(plan, job, code) {
  const usable = instrumentsFor(plan, code);
  return usable.find((i) => i.code === job.instruments[code]) ?? usable[0] ?? null;
}
