-- Notes that something went out by this messenger.
INSERT INTO channel_state (channel, sent_at) VALUES (?1, ?2) ON CONFLICT (channel) DO UPDATE SET sent_at = excluded.sent_at
