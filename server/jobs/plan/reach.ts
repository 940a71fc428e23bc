export { reachOf } from '#core/plan/reach.ts';
