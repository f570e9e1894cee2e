module sparse_en(input clk, input nrst, input ce, output reg [5:0] cnt60);
  always @(posedge clk or negedge nrst)
    if (!nrst) cnt60 <= 0;
    else begin
      if (cnt60 == 59) cnt60 <= 0;
      else if (ce) cnt60 <= cnt60 + 1'b1;
    end
endmodule
