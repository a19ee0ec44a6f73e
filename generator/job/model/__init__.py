"""The nouns of a job, frozen and checked: instrument, target, joint, router, stock, jig, job."""
