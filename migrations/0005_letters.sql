-- A report of a provider names a letter by the provider's own id.
CREATE INDEX outbox_outside ON outbox (outside_id) WHERE outside_id IS NOT NULL;
