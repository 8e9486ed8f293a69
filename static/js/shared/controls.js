/**
 * How do the page's repeated controls look and answer: a row of choices, a labelled field, tabs? They know no record.
 */
import { make } from './dom.js';

let counter = 0;

/** An id that no other element of the page has. @param {string} stem */
export function freshId(stem) {
  counter += 1;
  return `${stem}-${counter}`;
}

/**
 * A row of buttons of which one or none is chosen; choosing the chosen one again takes it back.
 * @template V
 * @param {object} options
 * @param {string} options.label
 * @param {{value: V, text: string}[]} options.choices
 * @param {V | null | undefined} options.value
 * @param {(value: V | null) => void} options.onChange
 * @param {boolean} [options.required] whether one always stays chosen
 * @param {string} [options.hint]
 * @param {boolean} [options.quiet] whether the label is only for those who do not see the row
 * @returns {HTMLElement}
 */
export function choiceRow({ label, choices, value, onChange, required = false, hint, quiet = false }) {
  /** @type {V | null} */
  let chosen = value === undefined ? null : value;
  const buttons = choices.map((choice) => make('button', { type: 'button', class: 'button choice', onclick: () => {
    chosen = chosen === choice.value && !required ? null : choice.value;
    show();
    onChange(chosen);
  } }, choice.text));
  const show = () => buttons.forEach((button, index) => button.setAttribute('aria-pressed', String(choices[index].value === chosen)));
  show();
  const labelId = freshId('choice');
  return make('div', { class: 'field', role: 'group', 'aria-labelledby': labelId },
    make('span', { class: quiet ? 'visually-hidden' : 'label', id: labelId }, label), make('div', { class: 'choice-row' }, buttons), hint ? make('p', { class: 'hint' }, hint) : null);
}

/**
 * A text field with its label above and room for its own error.
 * @param {object} options
 * @param {string} options.label
 * @param {string} options.value
 * @param {(text: string) => void} options.onChange may throw an Error whose message is shown at the field
 * @param {string} [options.hint]
 * @param {Record<string, any>} [options.attributes]
 * @param {boolean} [options.tall] several lines
 * @returns {HTMLElement}
 */
export function textField({ label, value, onChange, hint, attributes = {}, tall = false }) {
  const id = freshId('field');
  const input = tall ? make('textarea', { id, rows: 3, ...attributes }) : make('input', { id, type: 'text', autocomplete: 'off', ...attributes });
  input.value = value;
  const error = make('p', { class: 'field-error', id: `${id}-error`, hidden: true });
  input.addEventListener('change', () => answer(input, error, onChange));
  return make('div', { class: 'field' }, make('label', { for: id }, label), input, hint ? make('p', { class: 'hint' }, hint) : null, error);
}

/** Take a field's text, or say at the field what is wrong with it. @param {HTMLInputElement | HTMLTextAreaElement} input @param {HTMLElement} error @param {(text: string) => void} take */
export function answer(input, error, take) {
  try {
    take(input.value);
    error.hidden = true;
    input.removeAttribute('aria-invalid');
    input.removeAttribute('aria-describedby');
  } catch (problem) {
    error.textContent = problem instanceof Error ? problem.message : String(problem);
    error.hidden = false;
    input.setAttribute('aria-invalid', 'true');
    input.setAttribute('aria-describedby', error.id);
  }
}

/**
 * Tabs whose panels stand in the page already; arrow keys move between them.
 * @param {HTMLElement} tablist with buttons role=tab aria-controls
 * @param {(name: string) => void} onChoose
 * @returns {(name: string) => void} shows a tab by its data-tab
 */
export function tabs(tablist, onChoose) {
  const buttons = /** @type {HTMLButtonElement[]} */ ([...tablist.querySelectorAll('[role=tab]')]);
  const show = (/** @type {string} */ name) => {
    for (const button of buttons) {
      const chosen = button.dataset.tab === name;
      button.setAttribute('aria-selected', String(chosen));
      button.tabIndex = chosen ? 0 : -1;
      const panel = document.getElementById(button.getAttribute('aria-controls') ?? '');
      if (panel) panel.hidden = !chosen;
    }
  };
  buttons.forEach((button, index) => {
    button.addEventListener('click', () => onChoose(button.dataset.tab ?? ''));
    button.addEventListener('keydown', (event) => {
      const step = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0;
      if (!step) return;
      const next = buttons[(index + step + buttons.length) % buttons.length];
      onChoose(next.dataset.tab ?? '');
      next.focus();
    });
  });
  return show;
}

/** A button that does one thing. @param {string} text @param {() => void} work @param {Record<string, any>} [attributes] */
export function button(text, work, attributes = {}) {
  return make('button', { type: 'button', ...attributes, class: `button ${attributes.class ?? ''}`.trim(), onclick: work }, text);
}
