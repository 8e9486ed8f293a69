/**
 * Which few words stand in the head for the state of sending, and which banners stay until it is seen to?
 */
import { phaseText, skewText, surveyStateText } from './sync_words.js';

/** @typedef {import('../core/sync.js').SyncState} SyncState */
/** @typedef {import('../banners.js').Banner} Banner */

/** @type {Record<string, string>} */
const PHASE_WORDS = {
  idle: 'in contact', sending: 'sending', waiting: 'trying again', 'sign-in': 'sign in to send', 'no-part': 'account may not send', retired: 'tablet retired', offline: 'no network',
};

/** @param {SyncState} state */
export function signalOf(state) {
  const skew = skewText(state.skew_s);
  const words = state.set_aside ? `${state.set_aside} set aside` : skew ? 'clock is off' : PHASE_WORDS[state.phase] ?? state.phase;
  const attention = Boolean(state.set_aside || skew || ['sign-in', 'no-part', 'retired'].includes(state.phase));
  return { waiting: state.unsent + state.photographs_unsent, words, attention };
}

/**
 * What must be seen to before everything is safe on the server; null where nothing stands.
 * @param {SyncState} state
 * @param {() => void} goThere opens the tablet screen
 * @returns {Record<string, Banner | null>}
 */
export function standingBanners(state, goThere) {
  const actions = (/** @type {string} */ label) => [{ label, act: goThere }];
  const survey = surveyStateText(state.survey_state);
  /** @type {Record<string, Banner | null>} */
  const byPhase = {
    'sign-in': { kind: 'warn', message: phaseText(state), actions: actions('Sign in') },
    'no-part': { kind: 'warn', message: phaseText(state), actions: actions('Sign in') },
    retired: { kind: 'error', message: phaseText(state), actions: actions('Open the tablet screen') },
  };
  return { account: byPhase[state.phase] ?? null, survey: survey ? { kind: 'warn', message: survey } : null };
}
