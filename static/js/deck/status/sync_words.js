/**
 * How does the deck page say in words what was sent, what was not, and what to do? One place, for head, banners and screen.
 */

/** @typedef {import('../core/sync.js').SyncState} SyncState */

export const SKEW_LIMIT_S = 120;

/** @param {number} entries @param {number} photographs */
export function unsentText(entries, photographs) {
  if (!entries && !photographs) return 'Everything on this tablet has been sent.';
  return `${countOf(entries, 'entry', 'entries')} and ${countOf(photographs, 'photograph', 'photographs')} are on this tablet and not sent yet.`;
}

/** @param {number} count @param {string} one @param {string} several */
export function countOf(count, one, several) {
  return `${count.toLocaleString('en-US')} ${count === 1 ? one : several}`;
}

/** What the phase means and what to do. @param {SyncState} state */
export function phaseText({ phase, message }) {
  switch (phase) {
    case 'idle': return 'In contact with the server.';
    case 'sending': return 'Sending now.';
    case 'waiting': return `The server could not take it yet${message ? `: ${message}` : ''}. It is sent again by itself; nothing is lost.`;
    case 'offline': return 'No network here. Work goes on; everything is sent when the tablet is back where there is network.';
    case 'sign-in': return 'The sign-in has run out. Work goes on; sign in on the tablet screen, and everything is sent.';
    case 'no-part': return `${message || 'This account may not record on this wall.'} Nothing is lost; sign in with an account that has a part on this wall.`;
    case 'retired': return 'This tablet was retired on the desk. What it sends is set aside for the lead conservator. Download your work and hand the tablet in.';
    default: return message || phase;
  }
}

/** @param {number | null} last_ms @param {number} now_ms */
export function contactText(last_ms, now_ms) {
  if (last_ms === null || last_ms === undefined) return 'no contact yet';
  const minutes = Math.max(0, Math.round((now_ms - last_ms) / 60_000));
  if (minutes < 1) return 'less than a minute ago';
  if (minutes < 60) return `${countOf(minutes, 'minute', 'minutes')} ago`;
  if (minutes < 48 * 60) return `${countOf(Math.round(minutes / 60), 'hour', 'hours')} ago`;
  return `${countOf(Math.round(minutes / 1440), 'day', 'days')} ago`;
}

/** The clock's difference when it is too large, else null. @param {number | null} skew_s tablet minus server */
export function skewText(skew_s) {
  if (skew_s === null || Math.abs(skew_s) <= SKEW_LIMIT_S) return null;
  const size = Math.abs(skew_s) < 7200 ? countOf(Math.round(Math.abs(skew_s) / 60), 'minute', 'minutes') : countOf(Math.round(Math.abs(skew_s) / 3600), 'hour', 'hours');
  return `This tablet's clock is ${size} ${skew_s > 0 ? 'ahead of' : 'behind'} the server's. Set it in the tablet's settings; the order of entries does not depend on it.`;
}

/** @param {string | null | undefined} survey_state */
export function surveyStateText(survey_state) {
  if (!survey_state || survey_state === 'open') return null;
  return `This survey was ${survey_state} on the desk meanwhile. Go on if the lead conservator says so: what is seen from now on is kept and waits for the lead as an amendment.`;
}
