/**
 * Has this tablet all that it needs before it is carried up? Leads through sign-in, survey, pictures and the check, on one
 * screen, and says what the tablet holds already.
 */
import { button, choiceRow, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { csrfToken } from '../../shared/port.js';
import { DeckApi, Refused } from '../status/api.js';
import { signInForm } from '../status/sign_in.js';
import { resolutionsOf } from './download.js';
import { bytesText } from './fitness.js';
import { Preparation } from './preparation.js';

/** @typedef {import('./preparation.js').Fetched} Fetched */

export class PrepareScreen {
  static title = 'Prepare this tablet';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': PrepareScreen.title });
    this.api = new DeckApi({ fetcher: (...request) => fetch(...request), token: csrfToken });
    this.preparation = new Preparation({ deck, api: this.api, onProgress: (progress) => this.showProgress(progress) });
    this.choice = { wall: '', survey: '', name: deck.settings.get('name') };
    this.width_px = 0;
    this.place = make('div', { class: 'prepare-step' });
    this.held = make('div', {});
    fill(this.element, make('h2', {}, 'Prepare this tablet'), this.held, this.place);
  }

  async enter() {
    this.deck.controls.show({});
    this.showHeld();
    await this.lookForServer();
  }

  leave() {}

  /** @private what a tablet that was prepared before can do without any network */
  showHeld() {
    const { pack, pictures } = this.deck;
    if (!pack) return fill(this.held, make('p', {}, 'This tablet holds no survey yet. Prepare it here, where there is network, before it is carried up.'));
    const { wall, survey } = pack.boot;
    fill(this.held, make('p', {}, `This tablet holds ${wall.name}, survey ${survey.code}, as fetched at ${timeText(pack.made_at)}, with ${pictures.length} pictures. Unsent work stays when a fresh pack is fetched.`),
      make('div', { class: 'button-row' }, button('Go on with it', () => void this.deck.go(this.deck.firstScreen()))));
  }

  /** @private */
  async lookForServer() {
    this.say('Asking the server who is signed in…');
    try {
      const session = await this.api.session();
      if (session.signed_in) await this.showChoices(session.account?.name ?? '');
      else this.showSignIn();
    } catch (error) {
      this.showProblem(error, () => void this.lookForServer());
    }
  }

  /** @private */
  showSignIn() {
    fill(this.place, make('h3', {}, '1. Sign in'), make('p', { class: 'muted' }, 'The account that sends this tablet\'s work. Observer and recorder are named when the session opens.'),
      signInForm({ api: this.api, onSignedIn: (session) => void this.showChoices(session.account?.name ?? '') }));
  }

  /** @private @param {string} account */
  async showChoices(account) {
    try {
      const { walls } = await this.api.choices();
      const surveys = walls.flatMap((wall) => wall.surveys.map((survey) => ({ wall, survey })));
      if (!surveys.length) return this.say(`${account} may record in no open survey. Ask the lead conservator for a part on the wall, or open a survey on the desk.`);
      const known = surveys.find(({ wall, survey }) => this.preparation.enrolled({ wall: wall.slug, survey: survey.code, name: '' })) ?? (surveys.length === 1 ? surveys[0] : undefined);
      if (known) this.choice = { ...this.choice, wall: known.wall.slug, survey: known.survey.code };
      this.choice.name = this.deck.log.enrolment()?.name ?? this.choice.name;
      fill(this.place, make('h3', {}, '2. Survey and tablet'), make('p', { class: 'muted' }, `Signed in as ${account}.`),
        choiceRow({
          label: 'Survey', required: true, value: known ? surveys.indexOf(known) : null,
          choices: surveys.map(({ wall, survey }, value) => ({ value, text: `${wall.name} · ${survey.code}, ${survey.kind.replaceAll('-', ' ')}` })),
          onChange: (at) => { if (at !== null) this.choice = { ...this.choice, wall: surveys[at].wall.slug, survey: surveys[at].survey.code }; },
        }),
        textField({ label: 'Name of this tablet', hint: 'As written on its case, so that it can be found when it is lost.', value: this.choice.name, onChange: (name) => { this.choice.name = name.trim(); }, attributes: { maxlength: 60, name: 'tablet' } }),
        make('p', { class: 'field-error', role: 'alert', id: 'choice-error', hidden: true }),
        make('div', { class: 'button-row' }, button('Fetch the survey', () => void this.fetchPack(), { class: 'button-accent' }), button('Sign in as another', () => this.showSignIn())));
    } catch (error) {
      this.showProblem(error, () => void this.showChoices(account));
    }
  }

  /** @private */
  async fetchPack() {
    const missing = !this.choice.survey ? 'Choose the survey first.' : !this.choice.name ? 'Write the name of this tablet first.' : null;
    const error = /** @type {HTMLElement} */ (this.element.querySelector('#choice-error'));
    error.hidden = !missing;
    if (missing) return fill(error, missing);
    this.showProgress({ what: 'the survey', received: 0, expected: 0 });
    try {
      await this.deck.settings.set('name', this.choice.name);
      this.showPictures(await this.preparation.fetchPack(this.choice));
    } catch (problem) {
      this.showProblem(problem, () => void this.fetchPack());
    }
  }

  /** @private @param {Fetched} fetched */
  showPictures(fetched) {
    const { pack, bytes } = fetched;
    const resolutions = resolutionsOf(pack.pictures);
    this.width_px = resolutions[Math.min(1, resolutions.length - 1)]?.width_px ?? 0;
    fill(this.place, make('h3', {}, '3. Pictures'),
      make('p', {}, `The survey has come: ${bytesText(bytes)}, ${pack.due.length} cells due, ${pack.boot.previous_outlines.length} outlines of the last survey, ${pack.pictures.length} pictures to choose a resolution for.`),
      choiceRow({
        label: 'Resolution of the pictures', required: true, value: this.width_px, onChange: (width) => { this.width_px = width ?? 0; },
        choices: [{ value: 0, text: 'No pictures' }, ...resolutions.map(({ width_px, bytes: size, px_per_in }) => ({ value: width_px, text: `${px_per_in.toFixed(1)} px per inch · ${width_px.toLocaleString('en-US')} px wide · ${bytesText(size)}` }))],
      }),
      make('div', { class: 'button-row' }, button('Prepare this tablet', () => void this.prepare(fetched), { class: 'button-accent' })));
  }

  /** @private @param {Fetched} fetched @param {boolean} [knowingly] without the browser's promise to keep the store */
  async prepare(fetched, knowingly = false) {
    this.say('Checking the tablet\'s disk and room…');
    const pictures_bytes = resolutionsOf(fetched.pack.pictures).find(({ width_px }) => width_px === this.width_px)?.bytes ?? 0;
    try {
      const { findings, persistence } = await this.preparation.check(fetched.bytes + pictures_bytes);
      const short = findings.filter(({ fit }) => !fit);
      const only = short.length === 1 && short[0].name === 'keeping';
      if (short.length && !(knowingly && only)) return this.showShort({ fetched, findings, only });
      await this.deck.settings.set('persistence', { answer: persistence, knowingly: knowingly && only, at_ms: this.deck.platform.now_ms() });
      const total = await this.preparation.take(fetched, this.width_px);
      this.showReady(findings, total);
    } catch (problem) {
      this.showProblem(problem, () => void this.prepare(fetched, knowingly));
    }
  }

  /** @private @param {{fetched: Fetched, findings: import('./fitness.js').Finding[], only: boolean}} found */
  showShort({ fetched, findings, only }) {
    fill(this.place, make('h3', {}, 'This tablet is not ready to go up'), findingList(findings),
      make('div', { class: 'button-row' }, button('Check again', () => void this.prepare(fetched), { class: 'button-accent' }), button('Choose other pictures', () => this.showPictures(fetched)),
        only ? button('Go up without it: the browser may clear this tablet\'s store', () => void this.prepare(fetched, true)) : null));
  }

  /** @private @param {import('./fitness.js').Finding[]} findings @param {number} total_bytes */
  showReady(findings, total_bytes) {
    fill(this.place, make('h3', {}, 'This tablet is ready'), make('p', { class: 'message-ok' }, `${bytesText(total_bytes)} are on this tablet. It works without network from now on; try it in flight mode before it is carried up.`),
      findingList(findings), make('div', { class: 'button-row' }, button('Start the round', () => location.reload(), { class: 'button-accent' })));
  }

  /** @private @param {import('./preparation.js').Progress} progress */
  showProgress({ what, received, expected }) {
    const words = `Fetching ${what}: ${bytesText(received)}${expected ? ` of about ${bytesText(expected)}` : ''}`;
    const bar = /** @type {HTMLProgressElement | null} */ (this.place.querySelector('progress'));
    const label = this.place.querySelector('.prepare-progress');
    if (!bar || !label) return fill(this.place, make('p', { class: 'prepare-progress', role: 'status' }, words), make('progress', { 'aria-label': 'Fetched', max: Math.max(expected, 1) }));
    fill(label, words);
    if (expected) { bar.max = Math.max(expected, received); bar.value = received; }
  }

  /** @private @param {string} words */
  say(words) {
    fill(this.place, make('p', { role: 'status' }, words));
  }

  /** @private @param {unknown} error @param {() => void} again */
  showProblem(error, again) {
    if (error instanceof Refused && error.status === 401) return this.showSignIn();
    const message = error instanceof Error ? error.message : String(error);
    fill(this.place, make('p', { class: 'message-error', role: 'alert' }, message), make('div', { class: 'button-row' }, button('Try again', again, { class: 'button-accent' }), button('Sign in', () => this.showSignIn())));
  }
}

/** @param {import('./fitness.js').Finding[]} findings */
function findingList(findings) {
  return make('ul', { class: 'finding-list' }, findings.map(({ fit, message }) => make('li', { class: fit ? 'is-fit' : 'is-short' }, make('strong', {}, fit ? 'In order. ' : 'Falls short. '), message)));
}

/** @param {string} iso */
function timeText(iso) {
  return new Date(iso).toLocaleString('en-US', { dateStyle: 'medium', timeStyle: 'short' });
}
