// Gauges that a plan wants and of which none is in use: nothing that is read
// without one can be judged, so that it is said before the first reading, and
// nothing is sent until there is one.
import { instrumentsFor, characteristicOf } from './floor-plan.js';
import { gaugeKind } from './stand-words.js';

/** lacking says which gauges are to be added, of the named characteristics or of all that are measured; '' for none. */
export function lacking(plan, codes = plan.specification.characteristics.filter((c) => c.form === 'measured').map((c) => c.code)) {
  const kinds = codes.filter((code) => characteristicOf(plan, code)?.instrument && !instrumentsFor(plan, code).length).map((code) => gaugeKind(characteristicOf(plan, code).instrument).toLowerCase());
  if (!kinds.length) return '';
  const names = [...new Set(kinds)];
  return `No ${names.join(', ').replace(/, ([^,]*)$/, ' or $1')} is in use: the owner or an inspector adds ${names.length > 1 ? 'them' : 'one'} under Instruments; what you read waits here.`;
}

/** lackingOf is that of what would be sent. */
export const lackingOf = (sent, plan) => lacking(plan, sent.sets.map((s) => s.characteristic));
