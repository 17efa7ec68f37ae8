export { type Courier, type Delivery, folderCourier } from './courier.ts';
export { type MailPlace, mailPlace } from './place.ts';
export { readRecipients } from './recipients-file.ts';
export { type DigestOutcome, resendDigests, type SendOptions, sendDigests } from './send.ts';
