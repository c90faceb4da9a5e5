-- Notes how far the news of this messenger has been taken.
INSERT INTO cursor (channel, value) VALUES (?1, ?2) ON CONFLICT (channel) DO UPDATE SET value = excluded.value
