export { type Allowed, allowedAddresses, mayReach } from './addresses.ts';
export { type DeliverOptions, deliverDue } from './deliver.ts';
export { type AnomalyMessage, fanOut, type WebhookFilter } from './fan-out.ts';
export { secretPrefix } from './signature.ts';
