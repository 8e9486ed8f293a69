/**
 * Who observes and who records? Two rows of names, known ones as buttons and any other typed; and the one tap in the head
 * that changes the two over.
 */
import { choiceRow, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { currentSession } from '../session.js';
import { changePeople } from './session_acts.js';

/** @typedef {import('./session_acts.js').People} People */

const LONGEST_NAME = 150;

/** Names that can be chosen without typing. @param {import('../deck.js').Deck} deck @returns {string[]} */
export function knownNames(deck) {
  const { boot } = deck.pack;
  const { observer, recorder } = deck.record.author;
  const members = (boot.members ?? []).map((/** @type {any} */ member) => (typeof member === 'string' ? member : member.name));
  return [...new Set([boot.account.name, ...members, observer, recorder])].filter(Boolean);
}

/**
 * @param {object} options
 * @param {import('../deck.js').Deck} options.deck
 * @param {People} options.people
 * @param {(people: People) => void} options.onChange
 * @returns {HTMLElement}
 */
export function peopleFields({ deck, people, onChange }) {
  const names = [...new Set([...knownNames(deck), people.observer, people.recorder])].filter(Boolean);
  let now = { observer: people.observer, recorder: people.recorder };
  const take = (/** @type {Partial<People>} */ change) => {
    now = { ...now, ...change };
    onChange(now);
  };
  const box = make('div', { class: 'round-people' });
  const show = () => fill(box, nameRow('Observer: looks and answers', 'observer'), nameRow('Recorder: reads aloud and taps', 'recorder'));
  const nameRow = (/** @type {string} */ label, /** @type {'observer' | 'recorder'} */ who) => {
    const row = choiceRow({ label, choices: names.map((name) => ({ value: name, text: name })), value: now[who], required: true, onChange: (name) => take({ [who]: name ?? '' }) });
    row.dataset.who = who;
    const typed = textField({ label: 'Another name', value: '', attributes: { maxlength: LONGEST_NAME }, onChange: (text) => {
      const name = text.trim();
      if (!name) return;
      if (!names.includes(name)) names.push(name);
      take({ [who]: name });
      show();
    } });
    return make('div', { class: 'round-who' }, row, typed);
  };
  show();
  return box;
}

/** The button in the head: who looks and who writes; one tap changes the two over. @param {import('../deck.js').Deck} deck */
export function joinPeople(deck) {
  const show = () => {
    const { observer, recorder } = deck.record.author;
    button.hidden = !currentSession(deck);
    fill(button, make('span', {}, `Looks: ${shortName(observer)}`), make('small', {}, `Writes: ${shortName(recorder)}`));
    button.setAttribute('aria-label', `${observer} observes, ${recorder} records. Change the two over.`);
  };
  const button = deck.head.addButton('deck-people', '', () => void swap());
  button.classList.add('deck-people');
  const swap = async () => {
    const { observer, recorder } = deck.record.author;
    if (observer === recorder) {
      deck.say(`${observer} observes and records. Name a second person on the walk screen.`, 'info');
      return;
    }
    if (await changePeople(deck, { observer: recorder, recorder: observer })) deck.say(`${recorder} observes now, ${observer} records. Every entry keeps both.`, 'ok');
    show();
  };
  deck.store.watch(['session'], show);
}

/** "Ines Fallow" as "Ines F.", so that two names have room in the head. @param {string} name */
export function shortName(name) {
  const [first, ...others] = name.trim().split(/\s+/u);
  const last = others[others.length - 1];
  return last ? `${first} ${last[0]}.` : first ?? '';
}
