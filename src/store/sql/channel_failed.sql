-- Notes what last went wrong with this messenger.
INSERT INTO channel_state (channel, failed_at, failure) VALUES (?1, ?2, ?3)
ON CONFLICT (channel) DO UPDATE SET failed_at = excluded.failed_at, failure = excluded.failure
