using System.Buffers;
using System.IO.Hashing;

namespace RenderGraph.Graph.Locks;

/// <summary>What is in a file, told apart from anything else that could be there by chance; no guard against forgery.</summary>
/// <param name="Xxh128">XXH128 of all its bytes, 32 hexadecimal digits in lower case, as <c>xxhsum -H2</c> prints it.</param>
/// <param name="LengthBytes">Its length.</param>
public sealed record ContentHash(string Xxh128, long LengthBytes)
{
    /// <summary>Large enough that asking costs nothing, small enough to stay in the processor's cache between reading and hashing.</summary>
    private const int PieceBytes = 256 << 10;

    /// <summary>Of bytes in memory.</summary>
    public static ContentHash Of(ReadOnlySpan<byte> bytes) => new(Convert.ToHexStringLower(XxHash128.Hash(bytes)), bytes.Length);

    /// <summary>Of a file, read once from beginning to end; null if it is not there or cannot be read.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static ContentHash? OfFile(string path, CancellationToken cancellation)
    {
        var piece = ArrayPool<byte>.Shared.Rent(PieceBytes);
        try
        {
            var info = new FileInfo(path);
            if (info.LinkTarget is not null)
                info = info.ResolveLinkTarget(returnFinalTarget: true) as FileInfo;
            if (info is not { Exists: true })
                return null;
            if (info.Length == 0) // to open a pipe would wait for its other end
                return Of([]);
            using var file = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, FileOptions.SequentialScan);
            var hash = new XxHash128();
            var length = 0L;
            while (RandomAccess.Read(file, piece, length) is var count and > 0)
            {
                cancellation.ThrowIfCancellationRequested();
                hash.Append(piece.AsSpan(0, count));
                length += count;
            }

            Span<byte> digest = stackalloc byte[16];
            hash.GetCurrentHash(digest);
            return new(Convert.ToHexStringLower(digest), length);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            return null;
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(piece);
        }
    }

    /// <summary>Of several files, on several threads; in the same order.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static IReadOnlyList<ContentHash?> OfFiles(IReadOnlyList<string> paths, int threadCount, CancellationToken cancellation)
    {
        var found = new ContentHash?[paths.Count];
        if (threadCount == 1 || paths.Count < 2)
        {
            for (var index = 0; index < paths.Count; index++)
                found[index] = OfFile(paths[index], cancellation);
            return found;
        }

        try
        {
            Parallel.For(0, paths.Count, new ParallelOptions { MaxDegreeOfParallelism = threadCount }, index => found[index] = OfFile(paths[index], cancellation));
        }
        catch (AggregateException faults) when (faults.InnerExceptions.Any(fault => fault is OperationCanceledException))
        {
            throw new OperationCanceledException(cancellation);
        }

        return found;
    }
}
