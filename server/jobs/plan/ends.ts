/** The server is stopping: the job goes back to the queue and is done after the next start. */
export class JobInterrupted extends Error {}

/** Ends a job early without its being a failure: somebody cancelled it. */
export class JobCancelled extends Error {}

/** A fault that the user can mend; its message is for people. */
export class PlanRefused extends Error {}
