using System.Buffers.Binary;
using System.Numerics;
using System.Runtime.CompilerServices;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>
/// A file's bits, highest first, with the checksum of the bytes gone by. Past the file's end come zeros, and <see cref="IsPastEnd"/>
/// says so: nothing read here can fail, or go on for ever.
/// </summary>
internal sealed class FlacBits(StemFile file)
{
    private const int BufferBytes = 64 * 1024;

    private readonly byte[] _buffer = new byte[BufferBytes];

    /// <summary>Where in the file the buffer begins.</summary>
    private long _offset;

    /// <summary>The next byte to go into the window, and how many there are.</summary>
    private int _at, _count;

    /// <summary>Bits not yet read, at the top; of those below <see cref="_valid"/> some may be there already, and will come again.</summary>
    private ulong _window;
    private int _valid;

    private int _checkedTo;
    private ushort _crc;

    /// <summary>Where in the file the next whole byte lies.</summary>
    public long Position => _offset + _at - (_valid / 8);

    /// <summary>Whether more was read than the file has.</summary>
    public bool IsPastEnd => Position > file.LengthBytes;

    /// <summary>Goes to a byte of the file.</summary>
    public void Seek(long offset)
    {
        if (offset >= _offset && offset <= _offset + _count) _at = (int)(offset - _offset);
        else (_offset, _at, _count) = (offset, 0, 0);
        (_window, _valid) = (0, 0);
        BeginCheck();
    }

    /// <summary>The next bytes, fewer at the file's end, without reading them. Only between bytes.</summary>
    /// <param name="most">Up to a few hundred.</param>
    public ReadOnlySpan<byte> Peek(int most)
    {
        _at -= _valid / 8;
        (_window, _valid) = (0, 0);
        if (_at + most > _count) LoadMore();
        return _buffer.AsSpan(_at, (int)Math.Clamp(file.LengthBytes - Position, 0, most));
    }

    /// <summary>Passes over bytes that have been peeked at.</summary>
    public void Skip(int bytes) => _at += bytes;

    /// <summary>Begins the checksum at the next byte. Only between bytes.</summary>
    public void BeginCheck() => (_checkedTo, _crc) = (_at - (_valid / 8), 0);

    /// <summary>The checksum from there to here. Only between bytes.</summary>
    public ushort Check()
    {
        CheckTo(_at - (_valid / 8));
        return _crc;
    }

    /// <summary>Up to 32 bits.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public uint Read(int bits)
    {
        if (_valid < bits) Refill();
        var value = (uint)(_window >> 1 >> (63 - bits));
        _window <<= bits;
        _valid -= bits;
        return value;
    }

    /// <summary>Up to 33 bits, the highest a sign.</summary>
    public long ReadSigned(int bits)
    {
        if (bits == 0) return 0;
        if (_valid < bits) Refill();
        var value = (long)_window >> (64 - bits);
        _window <<= bits;
        _valid -= bits;
        return value;
    }

    /// <summary>Zeros before the next one, which is read too.</summary>
    public uint ReadUnary()
    {
        uint zeros = 0;
        while (true)
        {
            if (_valid < 32) Refill();
            var run = BitOperations.LeadingZeroCount(_window);
            if (run < _valid)
            {
                _window = _window << run << 1;
                _valid -= run + 1;
                return zeros + (uint)run;
            }

            zeros += (uint)_valid;
            _window <<= _valid - 1;
            _window <<= 1;
            _valid = 0;
            if (IsPastEnd) return zeros;
        }
    }

    /// <summary>Numbers in Rice code: a quotient in unary, so many low bits, the sign folded in (RFC 9639, section 9.2.7).</summary>
    /// <returns>False if a number is out of the format's bounds.</returns>
    public bool ReadRice(Span<long> into, int lowBits)
    {
        var (window, valid) = (_window, _valid);
        var fits = true;
        for (var i = 0; i < into.Length; i++)
        {
            if (valid < 40)
            {
                if (_at + 8 <= _count)
                {
                    window |= BinaryPrimitives.ReadUInt64BigEndian(_buffer.AsSpan(_at)) >> valid;
                    _at += (63 - valid) >> 3;
                    valid |= 56;
                }
                else
                {
                    (_window, _valid) = (window, valid);
                    Refill();
                    (window, valid) = (_window, _valid);
                }
            }

            var quotient = BitOperations.LeadingZeroCount(window);
            ulong folded;
            if (quotient + 1 + lowBits <= valid)
            {
                window = window << quotient << 1;
                folded = ((ulong)quotient << lowBits) | (window >> 1 >> (63 - lowBits));
                window <<= lowBits;
                valid -= quotient + 1 + lowBits;
            }
            else
            {
                (_window, _valid) = (window, valid);
                var far = ReadUnary();
                folded = ((ulong)far << lowBits) | Read(lowBits);
                (window, valid) = (_window, _valid);
                fits &= folded <= uint.MaxValue;
            }

            into[i] = (long)(folded >> 1) ^ -(long)(folded & 1);
        }

        (_window, _valid) = (window, valid);
        return fits;
    }

    /// <summary>Leaves out what is left of a byte; false if that is not zero.</summary>
    public bool Align() => Read(_valid & 7) == 0;

    private void Refill()
    {
        if (_at + 8 > _count) LoadMore();
        _window |= BinaryPrimitives.ReadUInt64BigEndian(_buffer.AsSpan(_at)) >> _valid;
        _at += (63 - _valid) >> 3;
        _valid |= 56;
    }

    /// <summary>Moves what is left to the buffer's beginning and fills up behind it; past the file's end with zeros.</summary>
    private void LoadMore()
    {
        var whole = _at - ((_valid + 7) / 8); // bytes that are in the window, whole or in part, stay
        if (_checkedTo < whole) CheckTo(whole);
        var gone = Math.Min(whole, _checkedTo);
        _buffer.AsSpan(gone, _count - gone).CopyTo(_buffer);
        (_offset, _at, _count, _checkedTo) = (_offset + gone, _at - gone, _count - gone, _checkedTo - gone);
        var free = _buffer.AsSpan(_count);
        var there = (int)Math.Clamp(file.LengthBytes - (_offset + _count), 0, free.Length);
        file.Fill(free[..there], _offset + _count);
        free[there..].Clear();
        _count = _buffer.Length;
    }

    private void CheckTo(int at)
    {
        // Zeros past the end are no part of the file, but then the frame has failed anyway.
        _crc = Crc.Of16(_buffer.AsSpan(_checkedTo, at - _checkedTo), _crc);
        _checkedTo = at;
    }
}
