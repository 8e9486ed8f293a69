/**
 * How do this tablet and its unsent work stand? One screen for sending, signing in again, what was set aside, the store, the
 * hand and the file of one's work.
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { csrfToken } from '../../shared/port.js';
import { bytesText } from '../prepare/fitness.js';
import { openStoreName, otherStores, pointAt } from '../prepare/stores.js';
import { DeckApi } from './api.js';
import { signInForm } from './sign_in.js';
import { contactText, phaseText, skewText, surveyStateText, unsentText } from './sync_words.js';
import { downloadWork } from './work_file.js';

export class TabletScreen {
  static title = 'Tablet';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.api = new DeckApi({ fetcher: (...request) => fetch(...request), token: csrfToken });
    this.standing = make('div', { role: 'status' });
    this.signIn = make('div', {});
    this.setAside = make('div', {});
    this.facts = make('dl', { class: 'facts' });
    this.stores = make('div', {});
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': TabletScreen.title },
      make('div', { class: 'button-row' }, button('Back to the work', () => void deck.back(), { class: 'button-accent' }), button('Send now', () => deck.sync?.tryNow()), button('Download my work', () => void downloadWork(deck)), button('Prepare again', () => void deck.go('prepare'))),
      make('h2', {}, 'Unsent work'), this.standing, this.signIn, this.setAside,
      choiceRow({ label: 'Hand that holds the pen', required: true, value: deck.settings.get('hand'), choices: [{ value: 'right', text: 'Right: controls at the right' }, { value: 'left', text: 'Left: controls at the left' }], onChange: (hand) => void deck.setHand(/** @type {any} */ (hand)) }),
      make('h2', {}, 'This tablet'), this.facts, this.stores);
    this.shown = false;
    deck.store.watch(['syncStep', 'recordStep'], () => { if (this.shown) this.show(); });
  }

  async enter() {
    this.shown = true;
    this.deck.controls.show({});
    this.show();
    await Promise.all([this.showFacts(), this.showStores()]);
  }

  leave() {
    this.shown = false;
  }

  /** @private */
  show() {
    const { sync, platform, banners } = this.deck;
    const state = sync?.state;
    // What the sync says stands below in full.
    const lines = banners.all(['account', 'survey']).map(({ message, kind }) => make('p', { class: `message-${kind}` }, message));
    if (!state) return fill(this.standing, lines, make('p', {}, 'This tablet is not enrolled yet. Prepare it where there is network.'));
    fill(this.standing, lines, make('p', {}, make('strong', {}, unsentText(state.unsent, state.photographs_unsent))), make('p', {}, phaseText(state)),
      make('p', { class: 'muted' }, `Last contact with the server: ${contactText(state.last_contact_ms, platform.now_ms())}.`),
      [skewText(state.skew_s), surveyStateText(state.survey_state)].map((text) => (text ? make('p', { class: 'message-warn' }, text) : null)));
    this.showSignIn(state.phase === 'sign-in' || state.phase === 'no-part');
    this.showSetAside();
  }

  /** @private @param {boolean} wanted */
  showSignIn(wanted) {
    if (!wanted) return fill(this.signIn);
    if (this.signIn.firstChild) return; // what is typed stays
    fill(this.signIn, make('h3', {}, 'Sign in again'), signInForm({ api: this.api, onSignedIn: (session) => { fill(this.signIn); this.deck.say(`Signed in as ${session.account?.name ?? ''}.`, 'ok'); this.deck.sync?.tryNow(); } }));
  }

  /** @private */
  showSetAside() {
    const aside = this.deck.log.setAside();
    if (!aside.length) return fill(this.setAside);
    fill(this.setAside, make('h3', {}, `Set aside by the server: ${aside.length}`), make('p', {}, 'These statements are on the server, in the lead conservator\'s sight, and not in the record yet. They are not lost; tell the lead, and say the thing again only if asked to.'),
      make('ul', { class: 'finding-list' }, aside.map(({ kind, message, made_at }) => make('li', { class: 'is-short' }, make('strong', {}, `${kind.replaceAll('-', ' ')}, ${new Date(made_at).toLocaleTimeString('en-US', { timeStyle: 'short' })}: `), message))));
  }

  /** @private */
  async showFacts() {
    const { log, pack, settings, sync } = this.deck;
    const enrolment = log.enrolment();
    const { usage, quota } = await navigator.storage?.estimate?.() ?? {};
    const kept = settings.get('persistence');
    const rows = [
      ['Name', enrolment?.name || settings.get('name') || 'none yet'], ['Survey', pack ? `${pack.boot.wall.name}, ${pack.boot.survey.code}` : 'none yet'],
      ['Pack', pack ? `of ${new Date(pack.made_at).toLocaleString('en-US', { dateStyle: 'medium', timeStyle: 'short' })}, ${this.deck.pictures.length} pictures` : 'none yet'],
      ['Room', quota === undefined ? 'the browser does not say' : `${bytesText(usage ?? 0)} used of ${bytesText(quota)}`],
      ['Kept by the browser', keptText(kept)], ['Identity', enrolment?.device ?? 'not enrolled'], ['Epoch of the server', sync?.state.epoch ?? enrolment?.epoch ?? 'unknown'],
      ['Version of the page', this.deck.shellVersion || 'not kept on this tablet'],
    ];
    fill(this.facts, rows.flatMap(([name, value]) => [make('dt', {}, name), make('dd', {}, value)]));
  }

  /** @private other surveys' stores on this tablet, each with its own unsent work */
  async showStores() {
    const others = await otherStores(indexedDB, openStoreName(localStorage));
    if (!others.length) return fill(this.stores);
    fill(this.stores, make('h3', {}, 'Other surveys on this tablet'), make('p', {}, 'Each keeps its own work. Opening one shows it and sends what it still holds.'),
      make('div', { class: 'button-row' }, others.map((name, index) => button(`Open store ${index + 1}`, () => { pointAt(localStorage, name); location.reload(); }))));
  }
}

/** @param {{answer: string, knowingly: boolean} | null} kept */
function keptText(kept) {
  if (!kept) return 'not asked yet';
  if (kept.answer === 'granted') return 'yes, the browser promises to keep the store';
  return kept.knowingly ? 'no promise; this tablet went up without it knowingly' : 'no promise';
}
