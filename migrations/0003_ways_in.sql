-- Client links are looked up by the hash of their secret alone: whoever opens one is nobody in the book.
CREATE INDEX projection_client_link ON projection (key) WHERE table_name = 'client_links';

-- Which messages a quote came of and went through: events name it by its number.
CREATE INDEX event_of_quote ON event (account_id, json_extract(payload, '$.no')) WHERE json_extract(payload, '$.no') IS NOT NULL;

-- What kind of device a session is on, so that its owner can tell it from others.
ALTER TABLE session ADD COLUMN device TEXT NOT NULL DEFAULT '';
