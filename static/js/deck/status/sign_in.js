/**
 * Who carries this tablet to the network? A form that signs in where it stands; the page never leaves for another one.
 */
import { button, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';

/** @typedef {import('./api.js').SessionAnswer} SessionAnswer */

/**
 * @param {{api: import('./api.js').DeckApi, onSignedIn: (session: SessionAnswer) => void}} options
 * @returns {HTMLElement}
 */
export function signInForm({ api, onSignedIn }) {
  const given = { username: '', password: '' };
  const problem = make('p', { class: 'field-error', role: 'alert', hidden: true });
  const take = async () => {
    problem.hidden = true;
    try {
      onSignedIn(await api.signIn(given.username.trim(), given.password));
    } catch (error) {
      problem.hidden = false;
      fill(problem, error instanceof Error ? error.message : String(error));
    }
  };
  const form = make('form', { class: 'deck-form', onsubmit: (/** @type {Event} */ event) => { event.preventDefault(); readFields(form, given); void take(); } },
    textField({ label: 'Account name', value: '', onChange: (text) => { given.username = text; }, attributes: { name: 'username', autocomplete: 'username', autocapitalize: 'none', spellcheck: 'false' } }),
    textField({ label: 'Password', value: '', onChange: (text) => { given.password = text; }, attributes: { name: 'password', type: 'password', autocomplete: 'current-password' } }),
    problem, make('div', { class: 'button-row' }, button('Sign in', () => {}, { type: 'submit', class: 'button-accent' })));
  return form;
}

/** A password manager may fill a field without a change event. @param {HTMLFormElement} form @param {Record<string, string>} given */
function readFields(form, given) {
  for (const name of Object.keys(given)) given[name] = /** @type {HTMLInputElement} */ (form.elements.namedItem(name)).value;
}

