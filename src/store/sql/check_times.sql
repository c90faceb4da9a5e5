-- When did each message come?
SELECT inbound_id, received_at FROM message
