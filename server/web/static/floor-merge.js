// Taking a draft back after somebody else saved it: what this tablet had read
// and not yet saved is kept where the other left a gap.

/** same says whether two answers say the same, whenever they were given. */
const same = (a, b) => a === b || Boolean(a && b) && a.text === b.text && a.spoke === b.spoke && JSON.stringify(a.mask) === JSON.stringify(b.mask);

/**
 * mergeUnsaved puts into theirs what I changed since my last save, whose values are
 * saved: what I read, read again or took back, where the other has left it as it was.
 * Where both changed an answer, theirs stands.
 */
export function mergeUnsaved(theirs, mine, saved) {
  const values = { ...theirs.values };
  for (const key of new Set([...Object.keys(mine), ...Object.keys(saved)])) {
    if (same(mine[key], saved[key]) || !same(values[key], saved[key])) continue;
    if (mine[key]) values[key] = mine[key];
    else delete values[key];
  }
  return { ...theirs, values };
}

/** differ says whether two sets of answers say another thing anywhere. */
export const differ = (one, other) => [...new Set([...Object.keys(one), ...Object.keys(other)])].some((key) => !same(one[key], other[key]));
