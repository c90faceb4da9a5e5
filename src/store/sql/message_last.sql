-- When did the last message come?
SELECT max(received_at) FROM message WHERE position = (SELECT max(position) FROM message)
