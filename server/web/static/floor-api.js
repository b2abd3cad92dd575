// The public API, as these pages use it. Every answer that is not good comes
// back as an ApiError with its problem details (RFC 9457).

const base = '/api/v1/';

// Whoever this page reads for, by id. A page that lies open, or that this tablet kept,
// is of one person: signed in as another, the office refuses it.
const person = () => globalThis.document?.getElementById('floor')?.dataset?.personId;

const PATIENCE = 15000; // ms: a line that hangs is a line that is down

export class ApiError extends Error {
  constructor(status, problem) {
    super(problem?.detail || problem?.title || `The office answered ${status}`);
    this.status = status;
    this.problem = problem ?? {};
    this.errors = Array.isArray(problem?.errors) ? problem.errors : [];
  }
}

/** NoAnswer says that the office could not be reached. */
export class NoAnswer extends Error {
  constructor(cause) {
    super('No answer from the office', { cause });
  }
}

async function call(method, path, body, { keepalive = false } = {}) {
  let response;
  try {
    response = await fetch(base + path, {
      method, keepalive, credentials: 'same-origin', signal: AbortSignal.timeout(PATIENCE),
      headers: { Accept: 'application/json', ...(body === undefined ? {} : { 'Content-Type': 'application/json' }), ...(person() ? { 'Tracewright-Person': person() } : {}) },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
  } catch (cause) {
    throw new NoAnswer(cause);
  }
  // A line that broke off in the middle of an answer gave none.
  const text = await response.text().catch((cause) => { throw new NoAnswer(cause); });
  let json = null;
  try {
    json = text ? JSON.parse(text) : null;
  } catch {
    json = null;
  }
  // The office says all in JSON, and sends nobody elsewhere: whatever else answers, as the page of a network that wants a sign-in, is not the office.
  if (response.redirected || (json === null && (response.ok || response.status === 404 || response.status >= 500))) throw new NoAnswer();
  if (!response.ok) throw new ApiError(response.status, json);
  return { status: response.status, json, date: Date.parse(response.headers.get('Date') ?? '') || 0 };
}

const at = encodeURIComponent;
const query = (values) => {
  const pairs = Object.entries(values).filter(([, v]) => v);
  return pairs.length ? '?' + new URLSearchParams(pairs) : '';
};

/** tickSent is a tick as it goes: when it was made by this tablet's clock, and by whom where that is not the sender. */
export function tickSent({ turned, at: made, by }) {
  const when = made === undefined ? {} : { at: new Date(made).toISOString(), sent_at: new Date().toISOString() };
  return { turned, ...when, ...(by ? { person: by } : {}) };
}

export const getPlan = async (serial, { stage = '', product = '' } = {}) => (await call('GET', `plans/${at(serial)}${query({ stage, product })}`)).json;
export const findItems = async (words) => (await call('GET', `items${query({ find: words })}`)).json?.items ?? [];
export const findLots = async (code) => (await call('GET', `lots${query({ code })}`)).json?.lots ?? [];
export const getDrafts = async () => (await call('GET', 'drafts')).json?.drafts ?? [];
export const getDraft = async (id) => (await call('GET', `drafts/${at(id)}`)).json;
export const putDraft = async (id, version, content, options) => (await call('PUT', `drafts/${at(id)}`, { version, content }, options)).json;
export const takeOverDraft = async (id) => (await call('POST', `drafts/${at(id)}/take-over`, {})).json;
export const setAsideDraft = async (id) => call('POST', `drafts/${at(id)}/set-aside`, {});
export const postInspection = async (submission) => call('POST', 'inspections', { ...submission, sent_at: new Date().toISOString() });
/** takeBlocks sends a list of blocks; what the tablet keeps beside it is left out. */
export const takeBlocks = async ({ id, ...list }) => call('POST', 'blocks/readings', { ...list, sent_at: new Date().toISOString() });
export const getInspection = async (id) => (await call('GET', `inspections/${at(id)}`)).json;
export const getUnplaced = async () => (await call('GET', 'unplaced')).json?.unplaced ?? [];
export const makeTurns = async (id) => (await call('POST', `inspections/${at(id)}/turns`, {})).json;
export const getTurns = async (id) => (await call('GET', `inspections/${at(id)}/turns`)).json;
/** putTurn sends one tick. said_at is the office's clock with the answer: a tablet's own may be wrong. */
export async function putTurn(id, tick) {
  const { json, date } = await call('PUT', `inspections/${at(id)}/turns/${at(tick.list)}/${tick.n}`, tickSent(tick));
  return { ...json, said_at: date };
}
export const answerStop = async (id, cause) => (await call('POST', `inspections/${at(id)}/turns/cause`, { cause })).json;
/** sendAct sends what was done, as it was kept (floor-queue.js): a ticked step, the end of a charge. */
export const sendAct = async ({ method, path, body }) => call(method, path, { ...body, ...(path === 'items' ? {} : { sent_at: new Date().toISOString() }) });
export const getItem = async (item) => (await call('GET', `items/${at(item)}`)).json;
/** blockDecisions asks what is known of a block: {block, aside, against, match, rest_v, read_at, decisions}. */
export const blockDecisions = async (block) => (await call('GET', `blocks/${at(block)}/decisions`)).json;
