/**
 * What does the head of the deck page say: where, whether it is saved, what is unsent, and the one way to the stop card?
 */
import { fill, make } from '../shared/dom.js';
import { modeName } from '../wall/words.js';

export class Head {
  /** @param {{where: HTMLElement, saved: HTMLElement, buttons: HTMLElement, signal: HTMLElement}} places */
  constructor(places) {
    this.places = places;
  }

  /** @param {{survey: string | null, cell: string, mode: string, title: string}} place */
  showWhere({ survey, cell, mode, title }) {
    const parts = survey ? [survey, cell, cell ? modeName(mode) : ''].filter(Boolean) : ['Pontata'];
    fill(this.places.where, parts.join(' · '), title ? make('small', {}, ` · ${title}`) : null);
  }

  /** Say how the last statement stands. @param {'saved' | 'saving' | 'trouble' | ''} state @param {string} message */
  showSaved(state, message) {
    this.places.saved.className = `deck-saved${state ? ` is-${state}` : ''}`;
    this.places.saved.textContent = message;
  }

  /** @param {{waiting: number, words: string, attention: boolean} | null} signal null before the tablet is enrolled */
  showSignal(signal) {
    this.places.signal.classList.toggle('is-attention', signal?.attention ?? false);
    if (!signal) return fill(this.places.signal, make('span', {}, 'Tablet'), make('small', {}, 'not prepared'));
    fill(this.places.signal, make('span', {}, signal.waiting ? `${signal.waiting} unsent` : 'All sent'), make('small', {}, signal.words));
  }

  /** Add a button that is always there. @param {string} id @param {string} label @param {() => void} act @returns {HTMLButtonElement} */
  addButton(id, label, act) {
    const button = make('button', { type: 'button', class: 'button', id, onclick: act }, label);
    this.places.buttons.append(button);
    return button;
  }
}
