import {
  fifthOrderProducts,
  type Product,
  type ProductKind,
  productCounts,
  radioHits,
  thirdOrderProducts,
} from '@plumbline/craft';
import type { Adapters } from './adapter.ts';

function frequencies(products: readonly Product[], kind: ProductKind): number[] {
  return products.filter((product) => product.kind === kind).map((product) => product.frequencyMHz);
}

export const radioAdapters: Adapters = {
  im3: (inputs) => {
    const products = thirdOrderProducts(inputs.list('freqs', 'MHz'));
    return {
      two_transmitter: frequencies(products, 'third, two carriers'),
      three_transmitter: frequencies(products, 'third, three carriers'),
    };
  },
  im5: (inputs) => ({
    two_transmitter: frequencies(fifthOrderProducts(inputs.list('freqs', 'MHz')), 'fifth'),
  }),
  im_count: (inputs) => {
    const counts = productCounts(inputs.num('n'));
    return {
      two_tone_third: counts.thirdTwoCarriers,
      three_tone_third: counts.thirdThreeCarriers,
      third_total: counts.thirdTotal,
      two_tone_fifth: counts.fifthTwoCarriers,
    };
  },
  im_clash: (inputs) => {
    const guard = inputs.num('guard', 'MHz');
    const hits = radioHits(inputs.list('freqs', 'MHz'), {
      thirdTwoMHz: guard,
      thirdThreeMHz: guard,
      fifthMHz: guard,
    });
    return {
      two_transmitter_hits: hits.map((hit) => hit.thirdTwoCarriers),
      three_transmitter_hits: hits.map((hit) => hit.thirdThreeCarriers),
      fifth_order_hits: hits.map((hit) => hit.fifth),
    };
  },
};
