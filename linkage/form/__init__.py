"""The measuring form: every number of a blank sheet lettered where the calliper goes."""
