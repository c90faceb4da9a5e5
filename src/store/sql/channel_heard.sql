-- Notes that something came by this messenger.
INSERT INTO channel_state (channel, heard_at) VALUES (?1, ?2) ON CONFLICT (channel) DO UPDATE SET heard_at = excluded.heard_at
