/**
 * What does the wall look like on the deck? The plate of the desk page, fitted to a gloved hand.
 */
import { Plate } from '../../wall/plate.js';

export class DeckPlate extends Plate {}
