import Type, { type Static, type TSchema } from 'typebox';
import { acceptanceChoice, acceptanceLimits } from './acceptance-limits.ts';
import { exact, nullable, oneOf } from './schema.ts';
import { sealantChoice, sealantLimits } from './sealant-limits.ts';
import { siteChoice, siteLimits } from './site-limits.ts';

/** Who set a limit. `catalogue`: it comes with the ring catalogue. */
export const limitSources = ['default', 'agency', 'project', 'catalogue'] as const;

const limit = <Value extends TSchema>(value: Value) => exact({ value, from: oneOf(limitSources) });

const positive = (description: string) => Type.Number({ exclusiveMinimum: 0, description });

export const objectives = ['fewest', 'closest', 'cheapest'] as const;

/** `survey`: the survey's own record, else estimated over the whole survey; 0 turns the allowance off. */
export const ShotSigma = Type.Union([Type.Number({ minimum: 0 }), Type.Literal('survey')]);

/**
 * Where finished grades come from: shots on the finished surface, design surfaces, the surface there is with its
 * treatment, or (`automatic`) these three in this order, the first that reaches a cover.
 */
export const finishedFromChoices = ['automatic', 'survey', 'design', 'treatment'] as const;

/** The limits in force for a project, each with where it came from. */
export const Limits = exact({
  toleranceM: limit(Type.Number()),
  objective: limit(oneOf(objectives)),
  shotLimitM: limit(Type.Number()),
  reachLimitM: limit(Type.Number()),
  samePlaceM: limit(Type.Number()),
  shotSigmaM: limit(ShotSigma),
  maxGradient: limit(Type.Number()),
  finishedFrom: limit(oneOf(finishedFromChoices)),
  longestSideM: limit(Type.Number()),
  liftSigmaM: limit(Type.Number()),
  centreLineLimitM: limit(Type.Number()),
  maxRings: limit(nullable(Type.Integer())),
  maxChimneyM: limit(nullable(Type.Number())),
  ...acceptanceLimits(oneOf(limitSources)),
  ...sealantLimits(oneOf(limitSources)),
  ...siteLimits(oneOf(limitSources)),
});

/** Limits that an agency or a project sets itself; null takes its own value back. */
export const PolicyChoice = exact({
  toleranceM: Type.Optional(nullable(positive('Rim to finished surface, all round.'))),
  objective: Type.Optional(nullable(oneOf(objectives))),
  shotLimitM: Type.Optional(nullable(positive('A cover with no shot nearer than this is unsurveyed.'))),
  reachLimitM: Type.Optional(nullable(positive('Farthest shot that a plane may use.'))),
  samePlaceM: Type.Optional(
    nullable(Type.Number({ minimum: 0, description: 'Nearer shots are one place.' })),
  ),
  shotSigmaM: Type.Optional(nullable(ShotSigma)),
  maxGradient: Type.Optional(nullable(positive('Steepest finished surface that is believed.'))),
  finishedFrom: Type.Optional(nullable(oneOf(finishedFromChoices))),
  longestSideM: Type.Optional(
    nullable(positive('Longest side of a triangle that is believed; a longer one bridges a gap.')),
  ),
  liftSigmaM: Type.Optional(
    nullable(
      Type.Number({
        minimum: 0,
        maximum: 0.1,
        description: 'Deviation of the thickness of one compacted lift; 0 counts the survey alone.',
      }),
    ),
  ),
  centreLineLimitM: Type.Optional(nullable(positive('A centre line farther away gives no road bearing.'))),
  maxChimneyM: Type.Optional(
    nullable(
      Type.Number({
        exclusiveMinimum: 0,
        maximum: 5,
        description: "Greatest height from seat to frame, joints included, in place of the ring catalogue's.",
      }),
    ),
  ),
  ...acceptanceChoice,
  ...sealantChoice,
  ...siteChoice,
});

export type Limits = Static<typeof Limits>;
export type PolicyChoice = Static<typeof PolicyChoice>;
export type LimitSource = (typeof limitSources)[number];
