-- When did this messenger last bring, take and fail?
SELECT heard_at, sent_at, failed_at, failure FROM channel_state WHERE channel = ?1
