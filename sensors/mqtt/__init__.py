"""MQTT: listening to a broker (:class:`MqttSubscription`) and speaking to one (:class:`Publisher`)."""

from sensors.mqtt.publisher import Publisher
from sensors.mqtt.subscription import MqttSubscription
from sensors.mqtt.tls import Tls

__all__ = ["MqttSubscription", "Publisher", "Tls"]
