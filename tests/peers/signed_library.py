"""The Python library of Standard Webhooks calls the house, and checks what the house sends."""
import datetime
import json
import sys
import urllib.error
import urllib.request

from standardwebhooks.webhooks import Webhook

case = json.load(sys.stdin)
webhook = Webhook(case["secret"])
now = datetime.datetime.now(tz=datetime.timezone.utc)


def call(body: bytes, identity: str, signature: str) -> int:
    headers = {
        "webhook-id": identity,
        "webhook-timestamp": str(int(now.timestamp())),
        "webhook-signature": signature,
        "content-type": "application/json",
    }
    request = urllib.request.Request(case["address"] + "/hooks/signed", data=body, headers=headers)
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(request) as response:
            return response.status
    except urllib.error.HTTPError as refused:
        return refused.code


body = json.dumps({"text": "note gate code 4411 \u00e9 \U0001f33f"}, ensure_ascii=False)
signature = webhook.sign("msg_peer_1", now, body)
assert call(body.encode(), "msg_peer_1", signature) == 200
assert call(body.encode() + b" ", "msg_peer_1", signature) == 401
assert call(body.encode(), "msg_peer_2", signature) == 401
# What we send, checked by the library, its window against the real clock included.
sent = case["sent"]
assert webhook.verify(sent["body"], sent["headers"])["type"] == "message.answered"
print("ok")
