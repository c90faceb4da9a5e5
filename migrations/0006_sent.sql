-- When the provider says that a waiting message was sent, where it says so.
ALTER TABLE waiting ADD COLUMN sent_at TEXT;
