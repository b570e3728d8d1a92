//! Numbered buckets with their members in one list: a counting sort.

/// Members by bucket.
pub(crate) struct Buckets {
    /// Where each bucket begins among the members, and the end.
    starts: Vec<u32>,
    members: Vec<u32>,
}

impl Buckets {
    /// `count` buckets. `each` enters all members, one after the other, by bucket and member; it is called twice and must do
    /// the same both times. Within a bucket they stay in that order.
    pub fn new(count: usize, each: impl Fn(&mut dyn FnMut(usize, u32))) -> Buckets {
        // While members are entered, what stands behind a bucket is where its next member goes, and then where it ends.
        let mut starts = vec![0_u32; count + 2];
        each(&mut |bucket, _| starts[bucket + 2] += 1);
        for bucket in 1..=count {
            starts[bucket + 1] += starts[bucket];
        }
        let mut members = vec![0; starts[count + 1] as usize];
        each(&mut |bucket, member| {
            let next = &mut starts[bucket + 1];
            members[*next as usize] = member;
            *next += 1;
        });
        starts.pop();
        Buckets { starts, members }
    }

    /// Number of buckets.
    pub fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// The members of a bucket.
    pub fn members(&self, bucket: usize) -> &[u32] {
        self.members_of(bucket, bucket)
    }

    /// The members of the buckets from `first` to `last`, bucket after bucket.
    pub fn members_of(&self, first: usize, last: usize) -> &[u32] {
        &self.members[self.starts[first] as usize..self.starts[last + 1] as usize]
    }

    /// Number of entries in all buckets.
    #[cfg(test)]
    pub fn entries(&self) -> usize {
        self.members.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_stand_in_their_buckets_in_the_order_they_came_in() {
        let entries = [(3, 9), (0, 4), (3, 2), (5, 9), (0, 1), (3, 9)];
        let buckets =
            Buckets::new(7, |enter| entries.iter().for_each(|(bucket, member)| enter(*bucket, *member)));
        assert_eq!((buckets.count(), buckets.entries()), (7, 6));
        let by_bucket: Vec<&[u32]> = (0..7).map(|bucket| buckets.members(bucket)).collect();
        let expected: [&[u32]; 7] = [&[4, 1], &[], &[], &[9, 2, 9], &[], &[9], &[]];
        assert_eq!(by_bucket, expected);
        assert_eq!(buckets.members_of(1, 5), [9, 2, 9, 9]);
        assert_eq!(Buckets::new(0, |_| {}).count(), 0);
    }
}
