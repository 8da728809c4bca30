using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Spectra;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>What the spectra at the hits add up to: some numbers for each part and hit, and nothing that grows with the song but those.</summary>
internal sealed class HitGathering
{
    private readonly SpectralFrame _frame;
    private readonly IReadOnlyList<bool> _isAnchor, _isHeard;
    private readonly double[][] _bandShares;
    private readonly double[] _ownShares, _lowEndShares;
    private readonly Sum[] _anchors;
    private readonly Sum _rest;

    /// <summary>Room for every stem and hit.</summary>
    /// <param name="isAnchor">Of each stem, whether it belongs to the anchor.</param>
    /// <param name="isHeard">Of each stem, whether it is heard in the sum of all.</param>
    /// <param name="own">The anchor's own band; null if its frequency is not known: what is measured there then has no value.</param>
    /// <param name="windows">Most windows of a batch.</param>
    public HitGathering(IReadOnlyList<bool> isAnchor, IReadOnlyList<bool> isHeard, int hitCount, SpectralFrame frame, Band? own, int windows = SpectraBatch.MostWindows)
    {
        (_isAnchor, _isHeard, _frame) = (isAnchor, isHeard, frame);
        _bandShares = [.. ErbScale.HalfErbBands.Select(band => frame.Shares(band.FromHz, band.ToHz))];
        _ownShares = own is null ? new double[frame.BinCount] : frame.Shares(own.FromHz, own.ToHz);
        _lowEndShares = frame.Shares(ErbScale.LowestHz, ErbScale.HighestHz);
        AnchorOwnPowers = new double[hitCount];
        AnchorBandPowers = new double[_bandShares.Length];
        ClearanceDb = new double?[hitCount];
        Parts = [.. isAnchor.Select(_ => new Part(hitCount, _bandShares.Length, frame.BinCount))];
        _anchors = [.. Enumerable.Range(0, windows).Select(_ => new Sum(frame.BinCount))];
        _rest = new(frame.BinCount);
    }

    /// <summary>The anchor's power in its own band at each hit.</summary>
    public double[] AnchorOwnPowers { get; }

    /// <summary>Its power in each half-ERB band, over all hits.</summary>
    public double[] AnchorBandPowers { get; }

    /// <summary>Over all bands.</summary>
    public double AnchorPower => AnchorBandPowers.Sum();

    /// <summary>The anchor over everything else in its own band, at each hit.</summary>
    public double?[] ClearanceDb { get; }

    /// <summary>Power of all stems together in the anchor's own band, over all hits.</summary>
    public double SumOwnPower { get; private set; }

    /// <summary>The same from 20 to 300 Hz.</summary>
    public double SumLowEndPower { get; private set; }

    /// <summary>One for each stem; the anchor's own stays empty.</summary>
    public Part[] Parts { get; }

    /// <summary>Adds the hits of a batch.</summary>
    public void Add(SpectraBatch batch, int threads)
    {
        for (var window = 0; window < batch.WindowCount; window++)
            AddWindow(batch, window);
        if (threads > 1)
            AddParts(batch, threads);
        else
            AddParts(batch);
    }

    /// <summary>What anchor and part would have in common over all hits, in the anchor's own band, if the part came later.</summary>
    public double CrossPowerAt(int stem, double delaySeconds)
    {
        var sum = 0.0;
        for (var bin = 0; bin < _ownShares.Length; bin++)
        {
            if (_ownShares[bin] == 0)
                continue;
            var angle = 2 * Math.PI * _frame.FrequencyHz(bin) * delaySeconds;
            sum += _ownShares[bin] * ((Parts[stem].CrossReal[bin] * PortableMath.Cos(angle)) + (Parts[stem].CrossImaginary[bin] * PortableMath.Sin(angle)));
        }

        return sum;
    }

    private void AddWindow(SpectraBatch batch, int window)
    {
        var anchor = _anchors[window];
        anchor.Clear();
        _rest.Clear();
        for (var stem = 0; stem < Parts.Length; stem++)
        {
            if (_isAnchor[stem])
                anchor.Add(batch, stem, window);
            else if (_isHeard[stem])
                _rest.Add(batch, stem, window);
        }

        var hit = batch.FirstWindow + window;
        anchor.WritePowers();
        AnchorOwnPowers[hit] = Weighted(_ownShares, anchor.Powers);
        for (var band = 0; band < _bandShares.Length; band++)
            AnchorBandPowers[band] += Weighted(_bandShares[band], anchor.Powers);
        _rest.WritePowers();
        var others = Weighted(_ownShares, _rest.Powers);
        _rest.Add(anchor);
        _rest.WritePowers();
        SumOwnPower += Weighted(_ownShares, _rest.Powers);
        SumLowEndPower += Weighted(_lowEndShares, _rest.Powers);
        ClearanceDb[hit] = others > 0 && AnchorOwnPowers[hit] > 0 ? Decibels.FromPower(AnchorOwnPowers[hit] / others) : null;
    }

    private void AddParts(SpectraBatch batch, int threads) => Parallelly.For(Parts.Length, threads, stem => AddPart(batch, stem), CancellationToken.None);

    private void AddParts(SpectraBatch batch)
    {
        for (var stem = 0; stem < Parts.Length; stem++)
            AddPart(batch, stem);
    }

    private void AddPart(SpectraBatch batch, int stem)
    {
        if (_isAnchor[stem])
            return;
        for (var window = 0; window < batch.WindowCount; window++)
            AddPart(batch, stem, window, _anchors[window]);
    }

    private void AddPart(SpectraBatch batch, int stem, int window, Sum anchor)
    {
        var hit = batch.FirstWindow + window;
        var part = Parts[stem];
        var sum = part.Sum;
        sum.Clear();
        sum.Add(batch, stem, window);
        sum.WritePowers();
        var (anchorPowers, powers) = (anchor.Powers, sum.Powers);

        double covered = 0, all = 0, most = -1;
        var worst = 0;
        for (var band = 0; band < _bandShares.Length; band++)
        {
            var (anchorPower, power) = (Weighted(_bandShares[band], anchorPowers), Weighted(_bandShares[band], powers));
            var shared = Math.Min(anchorPower, power);
            part.Covered[band] += shared;
            (covered, all) = (covered + shared, all + anchorPower);
            if (shared > most)
                (most, worst) = (shared, band);
        }

        var (anchorOwn, own) = (AnchorOwnPowers[hit], Weighted(_ownShares, powers));
        double real = 0, imaginary = 0;
        for (var bin = 0; bin < _ownShares.Length; bin++)
        {
            if (_ownShares[bin] == 0)
                continue;
            var (crossReal, crossImaginary) = anchor.Cross(sum, bin);
            real += _ownShares[bin] * crossReal;
            imaginary += _ownShares[bin] * crossImaginary;
            part.CrossReal[bin] += crossReal;
            part.CrossImaginary[bin] += crossImaginary;
        }

        (part.OwnPowers[hit], part.OwnReal[hit], part.OwnImaginary[hit]) = (own, real, imaginary);
        var areHeard = anchorOwn > 0 && own > 0;
        part.Hits[hit] = new(
            all > 0 ? covered / all : 0, worst, areHeard ? Decibels.FromPower(own / anchorOwn) : null,
            areHeard ? Decibels.FromPower(Math.Max(0, anchorOwn + own + (2 * real)) / Math.Max(anchorOwn, own)) : null);
    }

    private static double Weighted(double[] shares, double[] powers)
    {
        var sum = 0.0;
        for (var bin = 0; bin < shares.Length; bin++)
            sum += shares[bin] * powers[bin];
        return sum;
    }

    /// <summary>One part's numbers.</summary>
    internal sealed class Part(int hits, int bands, int bins)
    {
        /// <summary>Room to work in.</summary>
        internal Sum Sum { get; } = new(bins);

        /// <summary>At each hit.</summary>
        public HitCollision[] Hits { get; } = new HitCollision[hits];

        /// <summary>In each band, over all hits: how much of the anchor is covered.</summary>
        public double[] Covered { get; } = new double[bands];

        /// <summary>Power in the anchor's own band at each hit, and what both have in common there.</summary>
        public double[] OwnPowers { get; } = new double[hits];

        /// <summary>In phase.</summary>
        public double[] OwnReal { get; } = new double[hits];

        /// <summary>A quarter turn ahead.</summary>
        public double[] OwnImaginary { get; } = new double[hits];

        /// <summary>The cross-spectrum with the anchor over all hits.</summary>
        public double[] CrossReal { get; } = new double[bins];

        /// <summary>Its other half.</summary>
        public double[] CrossImaginary { get; } = new double[bins];
    }

    /// <summary>The sum of some stems under one window, left and right.</summary>
    internal sealed class Sum(int bins)
    {
        private readonly double[] _leftReal = new double[bins], _leftImaginary = new double[bins], _rightReal = new double[bins], _rightImaginary = new double[bins];

        public void Add(SpectraBatch batch, int stem, int window)
        {
            Add(batch, batch.PlaneOf(stem, 0), window, _leftReal, _leftImaginary);
            Add(batch, batch.PlaneOf(stem, 1), window, _rightReal, _rightImaginary);
        }

        public void Add(Sum other)
        {
            Planes.AddScaled(other._leftReal, 1, _leftReal);
            Planes.AddScaled(other._leftImaginary, 1, _leftImaginary);
            Planes.AddScaled(other._rightReal, 1, _rightReal);
            Planes.AddScaled(other._rightImaginary, 1, _rightImaginary);
        }

        /// <summary>Of each bin, as last written.</summary>
        public double[] Powers { get; } = new double[bins];

        public void WritePowers()
        {
            for (var bin = 0; bin < Powers.Length; bin++)
            {
                Powers[bin] = ((_leftReal[bin] * _leftReal[bin]) + (_leftImaginary[bin] * _leftImaginary[bin])
                    + (_rightReal[bin] * _rightReal[bin]) + (_rightImaginary[bin] * _rightImaginary[bin])) / 2;
            }
        }

        public void Clear()
        {
            Array.Clear(_leftReal);
            Array.Clear(_leftImaginary);
            Array.Clear(_rightReal);
            Array.Clear(_rightImaginary);
        }

        public (double Real, double Imaginary) Cross(Sum other, int bin) => (
            ((_leftReal[bin] * other._leftReal[bin]) + (_leftImaginary[bin] * other._leftImaginary[bin])
                + (_rightReal[bin] * other._rightReal[bin]) + (_rightImaginary[bin] * other._rightImaginary[bin])) / 2,
            ((_leftReal[bin] * other._leftImaginary[bin]) - (_leftImaginary[bin] * other._leftReal[bin])
                + (_rightReal[bin] * other._rightImaginary[bin]) - (_rightImaginary[bin] * other._rightReal[bin])) / 2);

        private static void Add(SpectraBatch batch, int plane, int window, double[] real, double[] imaginary)
        {
            if (batch.IsSilent(plane, window))
                return;
            Planes.AddScaled(batch.Real(plane, window), 1, real);
            Planes.AddScaled(batch.Imaginary(plane, window), 1, imaginary);
        }
    }
}
