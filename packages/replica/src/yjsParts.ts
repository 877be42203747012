/** As much of Yjs as a page works its document with. */
export { applyUpdate, Doc, encodeStateAsUpdate, encodeStateVector, mergeUpdates } from 'yjs';
