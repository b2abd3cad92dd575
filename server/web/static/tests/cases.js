// Published and agreed cases, as the Go tests read them: testdata/cases.
import fs from 'node:fs';

const folder = new URL('../../../../testdata/cases/', import.meta.url);

/** casesOf lists the cases of one kind in a file; there must be some. */
export function casesOf(file, kind) {
  const all = JSON.parse(fs.readFileSync(new URL(file, folder), 'utf8'));
  const found = all.filter((c) => c.kind === kind);
  if (!found.length) throw new Error(`no cases of kind ${kind} in ${file}`);
  return found;
}
