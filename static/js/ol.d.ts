/** The map library is loaded as a classic script; this is the one global of the pages. */
declare const ol: typeof import('ol/dist/ol.js').default;
