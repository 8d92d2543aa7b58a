//! Triangle surfaces in space: the finished shape as points, triangles and tags.
