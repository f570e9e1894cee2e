// does: exports a function to C
// named: refused DPI export leak
module dial(input clk, input rst, input en, output reg [3:0] q);
  export "DPI-C" function leak;
  function int leak(); return 1; endfunction
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
